// Programs that have another name than in the baseline, and were changed beside that: to a comparison one is
// gone and one is new, and what was changed in it would be seen by nobody.
#pragma once

#include <cstddef>
#include <string>
#include <unordered_map>
#include <vector>

#include "keepway/state.hpp"

namespace keepway::verdict {

class OldNames {
 public:
  // Both states must outlive this.
  OldNames(const State& was, const State& now);

  // The program of the baseline that is gone and that a new one has most of its lines from; null for none.
  [[nodiscard]] const Program* of(const Program& fresh) const;

 private:
  struct Gone {
    const Program* program = nullptr;
    std::size_t lines = 0;
  };

  std::vector<Gone> gone_;
  // By a line of theirs without its N word: which of them have it, each as often as it does.
  std::unordered_map<std::string, std::vector<std::size_t>> with_line_;
};

}  // namespace keepway::verdict
