#include "verdict/checks.hpp"
#include "verdict/known.hpp"
#include "verdict/reason_order.hpp"

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

Verdict judge(const JudgeInput& input) {
  Verdict verdict;
  verdict.counts = count(input.reading.state);
  verdict.counts.files = input.set.files.size();
  for (const media::File& file : input.set.files) verdict.counts.bytes += file.bytes.size();

  if (auto reason = verdict::no_backup(input)) {
    verdict.worth = reason->weight;
    verdict.reasons.push_back(std::move(*reason));
    return verdict;
  }

  verdict::Case in(input);
  verdict::check_medium(input, verdict.reasons);
  verdict::check_clock(in, verdict.reasons);
  verdict::check_files(in, verdict.reasons);
  verdict::check_oddities(in, verdict.reasons);
  verdict::check_headings(in, verdict.reasons);
  verdict::check_form(in, verdict.reasons);
  verdict::check_ends(in, verdict.reasons);
  verdict::check_sectors(in, verdict.reasons);
  verdict::check_joined(in, verdict.reasons);
  verdict::check_stale(in, verdict.reasons);
  verdict::check_machine(in, verdict.reasons);
  verdict::check_programs(in, verdict.reasons);
  verdict::check_lost_memory(in, verdict.reasons);
  verdict::check_rows(in, verdict.reasons);
  verdict.cautions = verdict::cautions_of(in);

  verdict::set_known_apart(input.known, verdict);
  verdict::shorten(verdict.reasons);
  verdict::order_by_gravity(verdict.reasons);
  if (!verdict.reasons.empty()) verdict.worth = verdict.reasons.front().weight;
  return verdict;
}

}  // namespace keepway
