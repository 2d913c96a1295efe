#include "keepway/backup.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "shop/backup_commit.hpp"

namespace keepway {

std::string name_of(const Backup& backup) {
  if (backup.number == 0 && !backup.kept.empty()) return "kept " + backup.kept;
  if (!backup.trial.empty()) return fmt::format("{} #{}", backup.trial, backup.number);
  return fmt::format("#{}", backup.number);
}

bool counts(const Backup& backup) {
  return backup.kept.empty() && !backup.withdrawn;
}

bool counts_on_main(const Backup& backup) {
  return counts(backup) && backup.trial.empty();
}

bool is_stood_by(const Backup& backup) {
  return backup.worth == Worth::good || backup.accepted;
}

std::int64_t counts_from(const Backup& backup) {
  return backup.taken > 0 ? std::min(backup.at, backup.taken) : backup.at;
}

bool doubts_clock(const std::string& reason) {
  return reason.starts_with("dated-ahead:") || reason.starts_with("clock-behind:");
}

bool is_misdated(const Backup& backup) {
  return !is_stood_by(backup) && std::any_of(backup.reasons.begin(), backup.reasons.end(), doubts_clock);
}

void take_newer(std::optional<Backup>& newest, const Backup& backup) {
  if (!newest || is_newer(backup, *newest)) newest = backup;
}

bool is_newer(const Backup& a, const Backup& b) {
  return std::pair{counts_from(a), a.taken} > std::pair{counts_from(b), b.taken};
}

}  // namespace keepway
