#include "reader/program_calls.hpp"

#include <utility>

namespace keepway::reader {

void drop_calls_within(ProgramFacts& facts, const std::set<std::string>& labels) {
  std::size_t kept = 0;
  for (std::size_t i = 0; i < facts.calls.size(); ++i) {
    if (labels.contains(facts.calls[i]) || labels.contains(facts.calls_without_count[i])) continue;
    if (kept != i) {
      facts.calls[kept] = std::move(facts.calls[i]);
      facts.call_spans[kept] = facts.call_spans[i];
      facts.calls_without_count[kept] = std::move(facts.calls_without_count[i]);
    }
    ++kept;
  }
  facts.calls.resize(kept);
  facts.call_spans.resize(kept);
  facts.calls_without_count.resize(kept);
}

}  // namespace keepway::reader
