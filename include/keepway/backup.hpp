// A stored backup, and the rules by which backups are ordered and counted.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "keepway/store.hpp"
#include "keepway/verdict.hpp"

namespace keepway {

// Said of a stored backup afterwards, see amend.hpp.
struct Withdrawal {
  std::string why;
  std::string by;
  std::int64_t when = 0;
};
// What a corrected backup was stored with, and who corrected it when.
struct AsStored {
  std::int64_t at = 0;
  std::string who;
  std::string note;
  std::string corrected_by;
  std::int64_t corrected = 0;
};

// One stored backup, as its commit tells.
struct Backup {
  store::Oid commit;
  int number = 0;          // on main #1 is the first; a trial counts its own; a trial's merge has none: 0
  std::string trial;       // the trial that it was taken on; empty on main
  std::int64_t at = 0;     // time of the backup, seconds since 1970 UTC
  std::int64_t taken = 0;  // time of intake
  std::string who;
  std::string note;
  std::string gist;
  std::string source;
  std::string digest;  // SHA-256 over the originals' names and bytes
  Worth worth = Worth::good;
  bool accepted = false;   // taken in with --accept
  std::string kept;        // the trial merged here: a state that is meant, not one that came off the machine
  store::Oid confirms;     // the backup whose restore this one was taken to confirm
  bool confirmed = false;  // the machine held all that was meant
  std::vector<std::string> reasons;  // "code: what", for doubtful ones, the gravest first
  std::string remedy;                // what to do about the first of them
  Counts counts;
  int reader = 0;  // reader_version of the time
  std::vector<std::string> marks;
  std::optional<Withdrawal> withdrawn;  // not to be used
  std::optional<AsStored> as_stored;    // `at`, `who` and `note` above are a correction
};
// What a person calls it, and may write for it: "#7"; "warm-up #2" on a trial; "kept warm-up" for the merge
// of one.
std::string name_of(const Backup& backup);
// Whether it came off the machine and is to be used: no merge of a trial, and not withdrawn.
bool counts(const Backup& backup);
// And on main, not on a trial: what may be the newest, the last good or a baseline.
bool counts_on_main(const Backup& backup);
// Whether it was good, or a person stood by it.
bool is_stood_by(const Backup& backup);
// Its date; that of its intake for one dated ahead of that, because a control's clock was wrong.
std::int64_t counts_from(const Backup& backup);
// Whether its date says nothing: its control's clock was wrong, and nobody stood by it or corrected it since.
bool is_misdated(const Backup& backup);
// Whether `a` came off the machine after `b`: by date, whatever the order they came in (a pile or another PC
// may bring an old one last), so that a control's wrong clock makes no backup the newest forever.
bool is_newer(const Backup& a, const Backup& b);
// The one way in which the newest of some backups is found: `newest` becomes `backup` when that is newer.
void take_newer(std::optional<Backup>& newest, const Backup& backup);

}  // namespace keepway
