// A line without its comments, in place: positions stay.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace keepway::reader {

struct Decommented {
  std::string_view code;  // as long as the line; comments are blanks. Good until the next strip()
  std::string_view
      comment;  // the first comment that says something, trimmed, in the line itself; may be empty
};

class Comments {
 public:
  // `openers` as in Source::comments; must outlive this. `quotes`: text between double quotes is no
  // comment, and an opener counts only at the line's beginning or behind a blank (values of `sections` may
  // hold ';' or '#').
  Comments(const std::vector<std::string>& openers, bool quotes);
  Decommented strip(std::string_view line);

 private:
  [[nodiscard]] std::size_t opener_at(std::string_view text) const;

  const std::vector<std::string>& openers_;
  bool quotes_;
  std::array<bool, 256> first_{};  // bytes that an opener begins with
  std::string scratch_;
};

}  // namespace keepway::reader
