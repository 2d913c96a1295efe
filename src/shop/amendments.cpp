#include "shop/amendments.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/time.hpp"
#include "shop/backup_commit.hpp"

namespace keepway {
namespace {

constexpr const char* withdraws = "Keepway-Withdraws";
constexpr const char* withdrawn = "Keepway-Withdrawn";
constexpr const char* corrects = "Keepway-Corrects";
constexpr const char* corrected_at = "Keepway-At";
constexpr const char* corrected_who = "Keepway-Who";
constexpr const char* corrected_note = "Keepway-Note";
constexpr const char* no_note = "Keepway-No-Note";  // a trailer without a value would not read back

std::optional<std::string> said(const store::CommitInfo& info, std::string_view name) {
  for (const auto& [each, value] : info.trailers) {
    if (each == name) return value;
  }
  return std::nullopt;
}

// What was doubted of the old date is settled by it.
void correct_date(Backup& backup, std::int64_t at) {
  if (backup.at == at) return;
  backup.at = at;
  const auto of_date = [](const std::string& reason) {
    return doubts_clock(reason) || reason.starts_with("older-than-last:");
  };
  if (backup.reasons.empty()) return;
  if (of_date(backup.reasons.front())) backup.remedy.clear();
  std::erase_if(backup.reasons, of_date);
  if (!backup.reasons.empty()) return;
  backup.worth = Worth::good;
  backup.accepted = false;  // there is nothing left that a person would have to accept
}

}  // namespace

std::string lasting_name(const Backup& backup) {
  return fmt::format("{} {} {}", backup.digest,
                     format_time_rfc3339(backup.as_stored ? backup.as_stored->at : backup.at),
                     format_time_rfc3339(backup.taken));
}

std::optional<Amendment> amendment_from_commit(const store::CommitInfo& info) {
  Amendment found;
  found.by = info.author;
  found.said = info.at;
  if (auto backup = said(info, withdraws)) {
    found.backup = std::move(*backup);
    found.withdraws = true;
    if (info.trailer(withdrawn) != "no") found.withdrawal = {info.body, info.author, info.at};
    return found;
  }
  auto backup = said(info, corrects);
  if (!backup) return std::nullopt;
  found.backup = std::move(*backup);
  // A time that cannot be read says nothing: what was stored holds.
  if (const auto at = said(info, corrected_at)) found.at = parse_time(*at, false);
  found.who = said(info, corrected_who);
  found.note = said(info, no_note) ? std::optional<std::string>("") : said(info, corrected_note);
  return found;
}

store::NewCommit commit_for_amendment(const Amendment& amendment, const Backup& backup) {
  store::NewCommit commit;
  const std::string of = "the backup of " + format_time(backup.as_stored ? backup.as_stored->at : backup.at);
  commit.author = amendment.by;
  commit.at = commit.taken = amendment.said;
  if (amendment.withdraws) {
    commit.summary = (amendment.withdrawal ? "Withdraw " : "Use again ") + of;
    if (amendment.withdrawal) commit.body = amendment.withdrawal->why;
    commit.trailers = {{withdraws, amendment.backup}, {withdrawn, amendment.withdrawal ? "yes" : "no"}};
    return commit;
  }
  commit.summary = "Correct " + of;
  commit.trailers = {{corrects, amendment.backup}};
  if (amendment.at) commit.trailers.emplace_back(corrected_at, format_time_rfc3339(*amendment.at));
  if (amendment.who) commit.trailers.emplace_back(corrected_who, *amendment.who);
  if (amendment.note) {
    const bool none = amendment.note->empty();
    commit.trailers.emplace_back(none ? no_note : corrected_note,
                                 none ? std::string("yes") : *amendment.note);
  }
  return commit;
}

bool Amendments::take(const store::CommitInfo& commit) {
  auto amendment = amendment_from_commit(commit);
  if (!amendment) return false;
  auto& words = amendment->withdraws ? withdrawals_ : corrections_;
  std::string backup = amendment->backup;
  words.try_emplace(std::move(backup), std::move(*amendment));
  return true;
}

void Amendments::apply(Backup& backup) const {
  if (empty()) return;
  const std::string name = lasting_name(backup);
  if (const auto found = withdrawals_.find(name); found != withdrawals_.end())
    backup.withdrawn = found->second.withdrawal;
  const auto found = corrections_.find(name);
  if (found == corrections_.end()) return;
  const Amendment& word = found->second;
  if (!word.at && !word.who && !word.note) return;
  backup.as_stored = {backup.at, backup.who, backup.note, word.by, word.said};
  if (word.at) correct_date(backup, *word.at);
  if (word.who) backup.who = *word.who;
  if (word.note) backup.note = *word.note;
}

bool Amendments::withdraw_one_taken(std::int64_t taken) const {
  const std::string end = " " + format_time_rfc3339(taken);
  return std::any_of(withdrawals_.begin(), withdrawals_.end(),
                     [&](const auto& each) { return each.second.withdrawal && each.first.ends_with(end); });
}

std::unordered_set<std::int64_t> Amendments::dates() const {
  std::unordered_set<std::int64_t> found;
  for (const auto* words : {&withdrawals_, &corrections_}) {
    for (const auto& [name, word] : *words) {
      const std::size_t blank = name.find(' ');
      const std::string_view date = std::string_view(name).substr(std::min(blank + 1, name.size()));
      if (const auto at = parse_time(date.substr(0, date.find(' ')), false)) found.insert(*at);
    }
  }
  return found;
}

}  // namespace keepway
