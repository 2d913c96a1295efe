#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "verdict/checks.hpp"

namespace keepway {

std::string_view worth_name(Worth worth) {
  switch (worth) {
    case Worth::good:
      return "good";
    case Worth::doubtful:
      return "doubtful";
    case Worth::refused:
      return "refused";
  }
  return "";
}

std::optional<Worth> parse_worth(std::string_view name) {
  for (const Worth worth : {Worth::good, Worth::doubtful, Worth::refused}) {
    if (worth_name(worth) == name) return worth;
  }
  return std::nullopt;
}

Counts count(const State& state) {
  Counts counts;
  for (const Group group : all_groups) {
    const auto at = static_cast<std::size_t>(group);
    const auto& table = state.table(group);
    if (!table) continue;
    for (const Item& item : *table) ++(is_unread(item.key) ? counts.unread : counts.items)[at];
  }
  counts.items[static_cast<std::size_t>(Group::programs)] += state.programs.size();
  return counts;
}

namespace {

// Of one code the first reasons are told, the rest are counted: a hostile or hopeless backup must not bury
// the others, nor fill its commit with thousands of lines.
void shorten(std::vector<Reason>& reasons) {
  constexpr std::size_t told = 20;
  std::map<std::string, std::size_t> seen;
  std::vector<Reason> kept;
  std::vector<Reason> rest;  // the first left out of each code, to stand for all of them
  for (Reason& reason : reasons) {
    const std::size_t times = ++seen[reason.code];
    if (times <= told) {
      kept.push_back(std::move(reason));
    } else if (times == told + 1) {
      rest.push_back(std::move(reason));
    }
  }
  for (Reason& reason : rest) {
    reason.what =
        fmt::format("{} more of this kind, beginning with: {}", seen[reason.code] - told, reason.what);
    kept.push_back(std::move(reason));
  }
  reasons = std::move(kept);
}

}  // namespace

Verdict judge(const JudgeInput& input) {
  Verdict verdict;
  verdict.counts = count(input.reading.state);
  verdict.counts.files = input.set.files.size();
  for (const media::File& file : input.set.files) verdict.counts.bytes += file.bytes.size();

  verdict::check_medium(input, verdict.reasons);
  verdict::check_files(input, verdict.reasons);
  verdict::check_programs(input, verdict.reasons);
  verdict::check_tables(input, verdict.reasons);
  verdict::check_oddities(input, verdict.reasons);

  shorten(verdict.reasons);
  std::stable_sort(verdict.reasons.begin(), verdict.reasons.end(),
                   [](const Reason& a, const Reason& b) { return a.weight > b.weight; });
  if (!verdict.reasons.empty()) verdict.worth = verdict.reasons.front().weight;
  return verdict;
}

}  // namespace keepway
