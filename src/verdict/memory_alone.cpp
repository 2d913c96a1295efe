// Lost memory where nothing before is known to compare with: hardly a value is set at all.

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <unordered_map>

#include "keepway/decimal.hpp"
#include "keepway/namebook.hpp"
#include "keepway/text.hpp"
#include "keepway/verdict.hpp"
#include "verdict/memory_run.hpp"

namespace keepway {
namespace {

constexpr std::string_view zero = "0";

bool has_blocks(const Program& program) {
  const std::string& text = program.text;
  const std::size_t first = text.find('\n');  // the end of its number or name
  return first != std::string::npos && text.find_first_not_of("\n%", first) != std::string::npos;
}

constexpr std::size_t others_in = 20;  // one of so many may be another: clocks and counters go on

// How often each value occurs. Counting ends once too many differ for a lost memory.
struct Spread {
  std::size_t expected = 0;  // values
  std::size_t count = 0;
  std::unordered_map<std::string_view, std::size_t> of;

  [[nodiscard]] bool varies() const { return of.size() > expected / others_in + 1; }
  void add(const Table& table, Group group) {
    static const Namebook none;
    for (const Item& item : table) {
      if (varies()) return;
      if (is_unread(item.key)) continue;
      ++count;
      ++of[verdict::is_cleared(none, group, item) ? zero : std::string_view(item.value)];
    }
  }
};

}  // namespace

std::optional<std::string> looks_lost(const State& state) {
  constexpr std::size_t fewest_values = 12;
  const bool programs = std::any_of(state.programs.begin(), state.programs.end(), has_blocks);
  const auto tells = [&](Group group) {
    if (group == Group::programs || !state.table(group)) return false;
    return !programs || group == Group::parameters || group == Group::settings;
  };
  Spread all;
  for (const Group group : all_groups) {
    if (tells(group)) all.expected += state.table(group)->size();
  }
  for (const Group group : all_groups) {
    if (tells(group)) all.add(*state.table(group), group);
  }
  if (all.varies()) return std::nullopt;
  if (all.count < fewest_values) return std::nullopt;
  const auto most = std::max_element(all.of.begin(), all.of.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; });
  if ((all.count - most->second) * others_in > all.count) return std::nullopt;
  if (!Decimal::parse(most->first)) return std::nullopt;  // OFF is a setting like others
  return fmt::format("{} of {} values are {}: the memory was probably lost before this backup was made",
                     most->second, all.count, most->first == zero ? "zero" : escape(most->first));
}

}  // namespace keepway
