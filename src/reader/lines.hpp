// The one way in which readers see lines: CR LF, LF CR, CR alone and LF alone each end a line
// (ISO 646 leaves the choice to the sender; punch-outs use all four).
#pragma once

#include <cstdint>
#include <string_view>

namespace keepway::reader {

struct Line {
  std::string_view text;     // without its end
  std::uint64_t at = 0;      // first byte, from the beginning of the text
  std::uint64_t number = 1;  // from 1
  bool ended = false;        // has a line end
};

class Lines {
 public:
  explicit Lines(std::string_view text, std::uint64_t first_line = 1);

  // False at the end of the text.
  bool next(Line& line);

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t lf_ = 0;  // the first LF at or behind at_, or the text's end; looked for once a line feed, so that
                        // a text without any is not searched again at each line
  std::uint64_t number_;
  // Whether LF CR is one line end: so when the first line of the text ends with it. Otherwise LF CR would
  // be a guess, since CR LF files with a blank line hold those two bytes as well.
  bool lf_cr_ = false;
};

inline bool is_blank(char c) {
  return c == ' ' || c == '\t';
}

inline std::string_view trim(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

// A line that holds only `%` marks off a program or a part of a stream (NISTIR 6556, 3.3).
inline bool is_mark(std::string_view line) {
  return trim(line) == "%";
}

}  // namespace keepway::reader
