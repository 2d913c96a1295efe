// A stored backup and its commit: what the message and the trailers hold, written and read in one place.
#pragma once

#include <optional>

#include "keepway/shop.hpp"

namespace keepway {

// nullopt for a commit that is not a backup (an enrolling, a hand edit).
std::optional<Backup> backup_from_commit(const store::CommitInfo& info);
// Its number among main's backups; 0 for a trial's, and for a merge, which have none.
std::uint32_t number_on_main(const Backup& backup);
// The number of a backup that is stored onto a commit: among main's, or on a trial among its own.
int next_number(const store::Repository& repository, const std::optional<store::Oid>& onto,
                const std::string& trial);

// The gist of a backup with the files of another.
std::string same_files_as(const Backup& other);
// Message, trailers and dates for a backup. `backup.number`, `gist`, `counts` and the rest are written.
store::NewCommit commit_for_backup(const Backup& backup);

// Whether a commit is not there any more, or not whole; reading then goes around it (Repository::past). Cheap
// for one that is there, whose bytes are not looked at.
bool is_lost(const store::Repository& repository, const store::Oid& commit);

}  // namespace keepway
