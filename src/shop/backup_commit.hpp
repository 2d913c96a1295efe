// A stored backup and its commit: what the message and the trailers hold, written and read in one place.
#pragma once

#include <optional>
#include <string>

#include "keepway/backup.hpp"
#include "keepway/store.hpp"

namespace keepway {

// nullopt for a commit that is not a backup (an enrolling, a hand edit).
std::optional<Backup> backup_from_commit(const store::CommitInfo& info);
// Its number among main's backups; 0 for a trial's, and for a merge, which have none.
std::uint32_t number_on_main(const Backup& backup);
// The number of a backup that is stored onto a commit: among main's, or on a trial among its own.
int next_number(const store::Repository& repository, const std::optional<store::Oid>& onto,
                const std::string& trial);

// Whether a reason of a backup says that the control's clock was wrong: then its date says nothing.
bool doubts_clock(const std::string& reason);
// The gist of a backup with the files of another.
std::string same_files_as(const Backup& other);
// Message, trailers and dates for a backup. `backup.number`, `gist`, `counts` and the rest are written.
store::NewCommit commit_for_backup(const Backup& backup);

// Where the line in force is: its branch, or the commit itself when one is checked out. There always is
// one, since enrolling commits: what cannot be found is damage, never "no backups". Error{store}.
store::Oid tip_in_force(const store::Repository& repository);
// The newest backup at a commit or before it.
std::optional<Backup> newest_from(const store::Repository& repository, const store::Oid& commit);

// Whether a commit is not there any more, or not whole; reading then goes around it (Repository::past). Cheap
// for one that is there, whose bytes are not looked at.
bool is_lost(const store::Repository& repository, const store::Oid& commit);

}  // namespace keepway
