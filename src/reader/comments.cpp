#include "reader/comments.hpp"

#include <algorithm>

#include "reader/text.hpp"

namespace keepway::reader {

Comments::Comments(const std::vector<std::string>& openers, bool quotes)
    : openers_(openers), quotes_(quotes) {
  for (const std::string& opener : openers) first_[static_cast<unsigned char>(opener.front())] = true;
}

// Length of the opener that is at the front of `text`; 0 for none.
std::size_t Comments::opener_at(std::string_view text) const {
  for (const std::string& opener : openers_) {
    if (text.starts_with(opener)) return opener.size();
  }
  return 0;
}

Decommented Comments::strip(std::string_view line) {
  Decommented out{line, {}};
  const auto begins = [this](char c) { return first_[static_cast<unsigned char>(c)]; };
  if (std::none_of(line.begin(), line.end(), begins)) return out;
  bool copied = false;
  bool quoted = false;
  for (std::size_t at = 0; at < line.size();) {
    if (quotes_ && line[at] == '"') quoted = !quoted;
    const bool may = begins(line[at]) && (!quotes_ || (!quoted && (at == 0 || is_gap(line[at - 1]))));
    const std::size_t opener = may ? opener_at(line.substr(at)) : 0;
    if (opener == 0) {
      ++at;
      continue;
    }
    const std::size_t close = line.substr(at, opener) == "(" ? line.find(')', at) : std::string_view::npos;
    const std::size_t text_end = std::min(close, line.size());
    if (out.comment.empty()) out.comment = trim(line.substr(at + opener, text_end - at - opener));
    const std::size_t end = std::min(text_end + 1, line.size());
    if (!copied) scratch_.assign(line);
    copied = true;
    std::fill(scratch_.begin() + static_cast<std::ptrdiff_t>(at),
              scratch_.begin() + static_cast<std::ptrdiff_t>(end), ' ');
    at = end;
  }
  if (copied) out.code = scratch_;
  return out;
}

}  // namespace keepway::reader
