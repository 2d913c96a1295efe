// A text's lines, whatever ends them: CR LF, LF CR, LF or CR (ISO 646 leaves the choice to the sender, and
// controls use all four). Every reader sees lines through this.
#pragma once

#include <cstdint>
#include <cstring>
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
  explicit Lines(std::string_view text, std::uint64_t first_line = 1) : text_(text), number_(first_line - 1) {
    const std::size_t end = text.find_first_of("\r\n");
    lf_cr_ = end != std::string_view::npos && text.substr(end, 2) == "\n\r";
  }

  // The next line without its end; false when there is none. A text that ends in a line end has no
  // empty line behind it.
  bool next() {
    if (next_ >= text_.size()) return false;
    at_ = next_;
    ++number_;
    // The next LF is looked for once, so that a text without any is not searched again at each line.
    if (lf_ < at_ || !lf_known_) {
      lf_ = find('\n', at_, text_.size());
      lf_known_ = true;
    }
    std::size_t end = find('\r', at_, lf_);
    line_ = text_.substr(at_, end - at_);
    ended_ = end < text_.size();
    if (ended_) {
      const std::string_view pair = text_.substr(end, 2);
      end += pair == "\r\n" || (lf_cr_ && pair == "\n\r") ? 2 : 1;
    }
    next_ = end;
    return true;
  }

  bool next(Line& line) {
    if (!next()) return false;
    line = {line_, at_, number_, ended_};
    return true;
  }

  [[nodiscard]] std::string_view line() const { return line_; }
  [[nodiscard]] std::size_t at() const { return at_; }            // first byte of the line
  [[nodiscard]] std::size_t end() const { return next_; }         // behind the line's end
  [[nodiscard]] std::uint64_t number() const { return number_; }  // of the line
  [[nodiscard]] bool ended() const { return ended_; }             // has a line end

 private:
  [[nodiscard]] std::size_t find(char byte, std::size_t from, std::size_t to) const {
    const void* hit = std::memchr(text_.data() + from, byte, to - from);
    return hit == nullptr ? to : static_cast<std::size_t>(static_cast<const char*>(hit) - text_.data());
  }

  std::string_view text_;
  std::string_view line_;
  std::size_t at_ = 0;
  std::size_t next_ = 0;
  std::size_t lf_ = 0;
  bool lf_known_ = false;
  std::uint64_t number_ = 0;
  bool ended_ = false;
  // Whether LF CR is one line end: so when the first line ends with it. Elsewhere those two bytes are two
  // ends: a CR LF text with a blank line holds them as well.
  bool lf_cr_ = false;
};

}  // namespace keepway::reader
