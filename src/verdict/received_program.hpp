// One program as both backups' files write it: its normal form may give a point to a number without one.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "verdict/case.hpp"
#include "verdict/number_shape.hpp"
#include "verdict/number_words.hpp"

namespace keepway::verdict {

// Letters whose numbers are names rather than amounts, as long as they are whole.
bool is_code(char letter);

class ReceivedProgram {
 public:
  // `was_name`: what the baseline calls it.
  ReceivedProgram(Case& in, const ProgramFacts& now, const std::string& was_name);

  // Whether a number without a point is counted in increments.
  [[nodiscard]] bool counts() const { return source_.point == Point::counts; }

  // The numbers on a line of the normal form, from 0, as they are written; none where that is not known.
  [[nodiscard]] NumbersByLetter before(std::size_t line) const { return written(before_, line); }
  [[nodiscard]] NumbersByLetter after(std::size_t line) const { return written(after_, line); }
  // Whether the program wrote whole numbers of a letter without a point.
  [[nodiscard]] bool writes_whole_numbers(char letter) const;
  // Whether it wrote many numbers along axes, and all with a point.
  [[nodiscard]] bool always_has_points() const;

 private:
  static NumbersByLetter written(const std::vector<std::string_view>& lines, std::size_t line);

  const Source& source_;
  std::vector<std::string_view> before_;
  std::vector<std::string_view> after_;
  std::map<char, WholeNumbers> whole_;
};

}  // namespace keepway::verdict
