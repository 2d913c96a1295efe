#include "reader/lines.hpp"

#include <cstring>

namespace keepway::reader {
namespace {

// Position of `byte` in text[from, to), else `to`.
std::size_t find(std::string_view text, char byte, std::size_t from, std::size_t to) {
  if (from >= to) return to;
  const void* hit = std::memchr(text.data() + from, byte, to - from);
  return hit == nullptr ? to : static_cast<std::size_t>(static_cast<const char*>(hit) - text.data());
}

}  // namespace

Lines::Lines(std::string_view text, std::uint64_t first_line) : text_(text), number_(first_line) {
  const std::size_t end = text.find_first_of("\r\n");
  lf_cr_ = end != std::string_view::npos && text.substr(end, 2) == "\n\r";
  lf_ = find(text, '\n', 0, text.size());
}

bool Lines::next(Line& line) {
  if (at_ >= text_.size()) return false;
  if (lf_ < at_) lf_ = find(text_, '\n', at_, text_.size());
  const std::size_t end = find(text_, '\r', at_, lf_);
  line.at = at_;
  line.number = number_++;
  line.ended = end < text_.size();
  line.text = text_.substr(at_, end - at_);
  if (!line.ended) {
    at_ = text_.size();
    return true;
  }
  const std::string_view pair = text_.substr(end, 2);
  at_ = end + (pair == "\r\n" || (lf_cr_ && pair == "\n\r") ? 2 : 1);
  return true;
}

}  // namespace keepway::reader
