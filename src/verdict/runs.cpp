#include "verdict/runs.hpp"

#include <algorithm>

#include "verdict/lines.hpp"

namespace keepway::verdict {

Runs longest_runs(std::string_view bytes) {
  Runs longest{};
  each_run(bytes, [&](const Run& run) {
    Run& known = longest[static_cast<unsigned char>(bytes[run.at])];
    if (run.length > known.length) known = run;
  });
  return longest;
}

const UsualRuns::OfSource& UsualRuns::of(std::uint32_t source) {
  const auto [found, fresh] = sources_.try_emplace(source);
  OfSource& all = found->second;
  if (!fresh) return all;
  const JudgeInput& input = in_.input();
  for (std::size_t file = 0; file < input.set.files.size(); ++file) {
    if (input.reading.files[file].source != source) continue;
    ++all.files;
    const Runs runs = longest_runs(visible_part(input.set.files[file].bytes));
    for (std::size_t byte = 0; byte < runs.size(); ++byte) {
      Longest& known = all.longest[byte];
      if (runs[byte].length > known.length)
        known = {runs[byte].length, file, known.length};
      else
        known.next = std::max(known.next, runs[byte].length);
    }
  }
  return all;
}

std::optional<std::size_t> UsualRuns::in_others(std::size_t file, unsigned char byte) {
  constexpr std::size_t fewest = 4;
  if (in_.before() == nullptr) return std::nullopt;
  const OfSource& all = of(in_.input().reading.files[file].source);
  if (all.files < fewest) return std::nullopt;
  const Longest& longest = all.longest[byte];
  return longest.file == file ? longest.next : longest.length;
}

bool UsualRuns::at_edge_of_others(std::size_t file, unsigned char byte) const {
  const JudgeInput& input = in_.input();
  for (std::size_t other = 0; other < input.set.files.size(); ++other) {
    const std::string& bytes = input.set.files[other].bytes;
    if (other == file || bytes.empty() ||
        input.reading.files[other].source != input.reading.files[file].source)
      continue;
    const auto is = [&](char c) { return static_cast<unsigned char>(c) == byte; };
    if (is(bytes.front()) || is(bytes.back())) return true;
  }
  return false;
}

}  // namespace keepway::verdict
