#include "reader/lines.hpp"

#include <algorithm>
#include <cstring>

namespace keepway::reader {
namespace {

// Both searches together pass over the text once: memchr for LF, then for a CR before it.
std::size_t find_end(std::string_view text, std::size_t at) {
  const char* begin = text.data() + at;
  const std::size_t left = text.size() - at;
  if (left == 0) return std::string_view::npos;
  const void* lf = std::memchr(begin, '\n', left);
  const std::size_t to_lf =
      lf == nullptr ? left : static_cast<std::size_t>(static_cast<const char*>(lf) - begin);
  const void* cr = to_lf == 0 ? nullptr : std::memchr(begin, '\r', to_lf);
  if (cr != nullptr) return at + static_cast<std::size_t>(static_cast<const char*>(cr) - begin);
  return lf == nullptr ? std::string_view::npos : at + to_lf;
}

}  // namespace

Lines::Lines(std::string_view text, std::uint64_t first_line) : text_(text), number_(first_line) {
  const std::size_t end = text.find_first_of("\r\n");
  lf_cr_ = end != std::string_view::npos && text.substr(end, 2) == "\n\r";
}

bool Lines::next(Line& line) {
  if (at_ >= text_.size()) return false;
  const std::size_t end = find_end(text_, at_);
  line.at = at_;
  line.number = number_++;
  line.ended = end != std::string_view::npos;
  line.text = text_.substr(at_, line.ended ? end - at_ : end);
  if (!line.ended) {
    at_ = text_.size();
    return true;
  }
  const std::string_view pair = text_.substr(end, 2);
  at_ = end + (pair == "\r\n" || (lf_cr_ && pair == "\n\r") ? 2 : 1);
  return true;
}

}  // namespace keepway::reader
