// The words that people said on top of stored backups, as the commits of main tell them.
#pragma once

#include <optional>
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "keepway/backup.hpp"

namespace keepway {

// What a backup is called in an amendment: the digest of its originals, its date and its time of intake, as
// it was stored. A commit's id would not do: a sync that puts two PCs' backups on one line gives new ones.
std::string lasting_name(const Backup& backup);

// One word on one backup.
struct Amendment {
  std::string backup;  // its lasting name
  bool withdraws = false;
  std::optional<Withdrawal> withdrawal;           // none: it is taken back
  std::optional<std::int64_t> at = std::nullopt;  // of a correction: what holds from now on;
  std::optional<std::string> who = std::nullopt;  // absent: as it was stored
  std::optional<std::string> note = std::nullopt;
  std::string by = {};
  std::int64_t said = 0;
};
std::optional<Amendment> amendment_from_commit(const store::CommitInfo& info);
store::NewCommit commit_for_amendment(const Amendment& amendment, const Backup& backup);

class Amendments {
 public:
  // To be given main's commits, the newest first: the newest word is the one that holds. Returns whether the
  // commit is an amendment.
  bool take(const store::CommitInfo& commit);
  // Makes a backup, as its commit tells it, read as people said of it.
  void apply(Backup& backup) const;
  [[nodiscard]] bool empty() const { return withdrawals_.empty() && corrections_.empty(); }
  // Whether a backup that came in then is withdrawn.
  [[nodiscard]] bool withdraw_one_taken(std::int64_t taken) const;
  // Dates, as stored, of the backups that something was said of.
  [[nodiscard]] std::unordered_set<std::int64_t> dates() const;

 private:
  std::unordered_map<std::string, Amendment> withdrawals_;
  std::unordered_map<std::string, Amendment> corrections_;
};

}  // namespace keepway
