// Files in another form than the control writes: an editor of a PC leaves its own line ends, and its own
// character set. What it changed beside that cannot be known.
#include <fmt/format.h>

#include <algorithm>

#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

// Whether bytes with bit 8 set are there, and all of them are characters of UTF-8.
bool is_utf8_beyond_ascii(std::string_view bytes) {
  if (bytes.starts_with(byte_order_mark)) bytes.remove_prefix(byte_order_mark.size());
  bool any = false;
  for (std::size_t at = 0; at < bytes.size();) {
    if ((static_cast<unsigned char>(bytes[at]) & 0x80U) == 0) {
      ++at;
      continue;
    }
    const std::size_t length = printable_utf8(bytes.substr(at));
    if (length == 0) return false;
    any = true;
    at += length;
  }
  return any;
}

// The end that all lines but perhaps the last have; empty where they vary, or are too few to say.
std::string_view end_of_all(const std::vector<TextLine>& lines) {
  constexpr std::size_t few = 3;
  if (lines.size() < few) return {};
  const std::string_view end = lines.front().end;
  const bool all =
      std::all_of(lines.begin(), lines.end() - 1, [&](const TextLine& line) { return line.end == end; });
  return all ? end : std::string_view();
}

std::string_view name_of_end(std::string_view end) {
  return end == "\r\n" ? "CR LF" : end == "\n" ? "LF" : end == "\r" ? "CR" : "LF CR";
}

// A mark alone is a note, which the reader makes.
void check_character_set(Case& in, const Pair& pair, Reasons& reasons) {
  if (!is_utf8_beyond_ascii(in.now(pair))) return;
  const std::string_view was = in.was(pair);
  if (is_ascii(was) || is_utf8_beyond_ascii(was)) return;
  const std::string name = escape(in.name_now(pair.now));
  reasons.push_back({Worth::doubtful, "saved-as-utf8",
                     fmt::format("{}: its letters beyond ASCII are UTF-8, and were not in {}: a program of a "
                                 "PC saved it",
                                 name, in.before_name()),
                     "take this file from the control again; what the PC changed in it cannot be known",
                     Place{name}});
}

void check_line_ends(Case& in, const Pair& pair, Reasons& reasons) {
  const std::string_view now = end_of_all(in.lines_now(pair));
  if (now.empty()) return;
  const std::string_view was = end_of_all(in.lines_was(pair));
  if (was.empty() || now == was) return;
  const std::string name = escape(in.name_now(pair.now));
  reasons.push_back(
      {Worth::good, "line-ends-differ",
       fmt::format("{}: its lines end with {}, and ended with {} in {}: a program of a PC may "
                   "have saved it",
                   name, name_of_end(now), name_of_end(was), in.before_name()),
       "if it was edited on a PC, take it from the control again: the control may not read it so",
       Place{name}});
}

}  // namespace

void check_form(Case& in, Reasons& reasons) {
  for (const Pair& pair : in.pairs()) {
    const bool parity = in.input().reading.files[pair.now].parity;
    if (pair.same || parity || in.source_now(pair.now) == nullptr) continue;
    check_character_set(in, pair, reasons);
    check_line_ends(in, pair, reasons);
  }
}

}  // namespace keepway::verdict
