// Programs of all files in one list: unique names; the same program twice is no clash, two of one name are.
#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <optional>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <utility>

#include "reader/parts.hpp"

namespace keepway::reader {

namespace {

struct NamedText {
  std::string_view name;
  std::string_view text;
  friend bool operator==(const NamedText&, const NamedText&) = default;
};
struct NamedTextHash {
  std::size_t operator()(const NamedText& one) const {
    const std::hash<std::string_view> hash;
    return hash(one.name) * 31 + hash(one.text);
  }
};

using Programs = std::vector<std::pair<std::uint32_t, RawProgram>>;

// Of files that are programs and would be called the same (PART.NC, PART.TAP), the later keep their ending.
void tell_files_apart(Programs& programs, const std::vector<OriginalView>& originals) {
  std::unordered_set<std::string> taken;
  for (auto& [source, program] : programs) {
    ProgramFacts& facts = program.facts;
    if (facts.by_file && !taken.insert(facts.name).second) facts.name = originals[facts.span.file].name;
  }
}

// The number that a call would find a file by: that of its name, `0100.ngc` or `o100.ngc` for 100.
std::string number_of_file(std::string_view name) {
  std::string_view last = name.substr(name.rfind('/') + 1);
  if (!last.empty() && (last[0] == 'O' || last[0] == 'o')) last.remove_prefix(1);
  const bool digits =
      !last.empty() && std::all_of(last.begin(), last.end(), [](char c) { return c >= '0' && c <= '9'; });
  return digits ? program_name(last) : std::string();
}

// Calls name programs by their numbers; where a file is a program, it is found by the number in its name.
void resolve_calls(Programs& programs) {
  std::unordered_map<std::string, std::string> by_number;
  for (const auto& [source, program] : programs) {
    if (!program.facts.by_file) continue;
    if (std::string number = number_of_file(program.facts.name); !number.empty()) {
      by_number.try_emplace(std::move(number), program.facts.name);
    }
  }
  if (by_number.empty()) return;
  for (auto& [source, program] : programs) {
    if (!program.facts.by_file) continue;
    for (std::string& call : program.facts.calls) {
      if (const auto found = by_number.find(call); found != by_number.end()) call = found->second;
    }
  }
}

// Which programs are kept, in the order found; names made unique.
std::vector<std::size_t> settle_names(Programs& programs, const std::vector<OriginalView>& originals,
                                      Reading& reading) {
  std::vector<std::size_t> kept;
  std::unordered_map<std::string, std::size_t> given;  // how often a name was given
  // Views into names must outlive renaming, so the names given are on their own.
  std::vector<std::string> names;
  names.reserve(programs.size());
  for (const auto& [source, program] : programs) names.push_back(program.facts.name);
  // Texts are looked through only where a name comes again, which few do.
  std::unordered_map<std::string_view, std::optional<std::size_t>> once;  // where; none: it came again
  std::unordered_set<NamedText, NamedTextHash> seen;
  const auto same_again = [&](std::size_t i) {
    const auto [first, fresh] = once.try_emplace(names[i], i);
    if (fresh) return false;
    if (const auto before = std::exchange(first->second, std::nullopt))
      seen.insert({names[*before], programs[*before].second.text});
    return !seen.insert({names[i], programs[i].second.text}).second;
  };
  for (std::size_t i = 0; i < programs.size(); ++i) {
    RawProgram& program = programs[i].second;
    const Span& span = program.facts.span;
    const Place place{std::string(originals[span.file].name), span.line, span.at};
    if (same_again(i)) {
      reading.oddities.push_back({OddityKind::same_program, place,
                                  fmt::format("{} is in the backup twice, the same", escape(names[i])),
                                  Group::programs});
      continue;
    }
    kept.push_back(i);
    if (given.try_emplace(names[i], 1).second) continue;
    std::string name;
    do {
      name = fmt::format("{}~{}", names[i], ++given[names[i]]);
    } while (!given.try_emplace(name, 1).second);
    program.facts.name = name;
    reading.oddities.push_back({OddityKind::clashing_program, place,
                                fmt::format("{} is in the backup with another text; this one is kept as {}",
                                            escape(names[i]), escape(name)),
                                Group::programs});
  }
  return kept;
}

}  // namespace

void join_programs(Programs&& programs, const std::vector<OriginalView>& originals, Reading& reading) {
  tell_files_apart(programs, originals);
  resolve_calls(programs);
  std::vector<std::size_t> kept = settle_names(programs, originals, reading);
  std::sort(kept.begin(), kept.end(), [&](std::size_t a, std::size_t b) {
    return natural_order(programs[a].second.facts.name, programs[b].second.facts.name) < 0;
  });
  for (const std::size_t i : kept) {
    auto& [source, program] = programs[i];
    program.facts.source = source;
    const std::string& name = program.facts.name;
    reading.state.programs.push_back({name, std::move(program.text)});
    reading.origins.push_back({Group::programs, name, program.facts.span, source, FieldKind::text, 0});
    reading.programs.push_back(std::move(program.facts));
  }
}

}  // namespace keepway::reader
