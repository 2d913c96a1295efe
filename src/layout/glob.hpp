// Patterns with * and ?, for names of files and for lines: no more than that, so that the work is bounded.
#pragma once

#include <string>
#include <string_view>

namespace keepway::layout {

// Pattern elements that stand for no byte of their own. Layouts hold no control bytes, so these are free.
inline constexpr char any_run = '\x01';   // * : any bytes but `stop`
inline constexpr char any_byte = '\x02';  // ? : one byte but `stop`
inline constexpr char any_gap = '\x03';   // blanks, one or more

// * and ? as elements, and `serial` for {serial}; where `any_serial`, anything for it.
struct Expanded {
  std::string pattern;
  bool has_serial = false;
};
Expanded expand(std::string_view pattern, std::string_view serial, bool any_serial);

// Letter case does not count. `stop` is a byte that neither * nor ? stands for; '\0' for none.
bool glob_fits(std::string_view expanded, std::string_view text, char stop);

// A pattern of whole lines: blanks at a line's ends do not count, and one blank stands for several.
class LinePattern {
 public:
  // An empty serial, that of a machine without one, is any.
  explicit LinePattern(std::string_view pattern, std::string_view serial = {}, bool any_serial = false);
  [[nodiscard]] bool fits(std::string_view line) const;

 private:
  std::string expanded_;
};

}  // namespace keepway::layout
