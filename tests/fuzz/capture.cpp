// Any bytes as a raw serial capture of several groups in one stream: cleaned, cut, read, and read again with
// even parity punched into it.
#include <algorithm>
#include <array>
#include <bit>

#include "reader/clean.hpp"
#include "reader/drawn.hpp"
#include "reader/lines.hpp"
#include "reader/stream.hpp"
#include "reader/text.hpp"
#include "table.hpp"

namespace {

using namespace keepway;
using fuzz::require;

// Invented; one source for each reader, known by how its first line begins.
constexpr const char* sources = R"(
layout = 1
[[source]]
group = "offsets"
files = "*"
reader = "words"
begins = "G10"
comment = "("
least_increment = "0.0001"
[[source.row]]
match = "G10 L2"
address = "work/{P}"
fields = { X = "X", Y = "Y" }
[[source]]
group = "variables"
files = "*"
reader = "assign"
begins = "#"
[[source]]
group = "settings"
files = "*"
reader = "columns"
begins = "T"
header = "blank"
columns = ["t", { name = "n", kind = "whole" }, "v"]
address = "{n}"
fields = { v = "" }
[[source]]
group = "parameters"
files = "*"
reader = "sections"
begins = "["
[[source]]
group = "programs"
files = "*"
reader = "blocks"
comment = "("
)";

Layout make_layout(const char* last) {
  return parse_layout(std::string(sources) + last, "fuzz.toml");
}

bool carries_text(unsigned char c) {
  return c >= 0x20 ? c != 0x7F : c != 0x00 && c != 0x1A && c != 0x0B && c != 0x0C && (c < 0x11 || c > 0x14);
}

// SOH, STX, ETX and EOT frame a text, and are no part of it where they are before or behind all that is
// visible.
bool frames(const std::string& text, std::size_t at) {
  const auto visible = [](char c) { return static_cast<unsigned char>(c) > ' ' && c != 0x7F; };
  const auto code = static_cast<unsigned char>(text[at]);
  if (code < 0x01 || code > 0x04) return false;
  return std::none_of(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), visible) ||
         std::none_of(text.begin() + static_cast<std::ptrdiff_t>(at), text.end(), visible);
}

// Every position stays; text stays as it is but for bit 8 and for lines that are drawn, and all else is a
// blank.
void check_cleaned(std::string_view bytes, const reader::Cleaned& cleaned) {
  constexpr std::string_view mark = "\xEF\xBB\xBF";
  require(cleaned.text.size() == bytes.size());
  if (!cleaned.parity && reader::is_drawn(bytes)) return;
  std::string text(bytes);  // before what carries no text is a blank
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    auto was = static_cast<unsigned char>(bytes[i]);
    const auto code = static_cast<unsigned char>(was & 0x7FU);
    const bool spoiled = cleaned.parity && code != 0x00 && code != 0x7F && std::popcount(was) % 2 != 0;
    const bool marked = i < mark.size() && bytes.starts_with(mark);
    text[i] = marked ? ' ' : spoiled ? '?' : static_cast<char>(cleaned.parity ? code : was);
  }
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    auto was = static_cast<unsigned char>(bytes[i]);
    const auto is = static_cast<unsigned char>(cleaned.text[i]);
    const auto code = static_cast<unsigned char>(was & 0x7FU);
    const bool spoiled = cleaned.parity && code != 0x00 && code != 0x7F && std::popcount(was) % 2 != 0;
    if (cleaned.parity) was = code;
    const bool marked = i < mark.size() && bytes.starts_with(mark);
    require(is == (marked || frames(text, i) ? ' ' : spoiled ? '?' : carries_text(was) ? was : ' '));
  }
  for (const Oddity& oddity : cleaned.oddities) {
    require(oddity.place.byte.value_or(0) <= bytes.size());
  }
}

// Each line of text lies in one part, no part reaches outside, and each knows the number of its first line.
void check_parts(std::string_view text, const std::vector<reader::Part>& parts) {
  for (const reader::Part& part : parts) {
    require(part.base <= text.size() && part.text.size() <= text.size() - part.base);
    require(part.text.data() == text.data() + part.base);
  }
  reader::Lines lines(text);
  reader::Line line;
  std::size_t at = 0;  // the part awaited
  while (lines.next(line)) {
    if (at + 1 < parts.size() && parts[at + 1].base <= line.at) ++at;
    require(at + 1 >= parts.size() || parts[at + 1].base > line.at);
    if (at < parts.size() && parts[at].base == line.at) require(parts[at].first_line == line.number);
    if (reader::trim(line.text).empty() || reader::is_mark(line.text)) continue;
    require(at < parts.size() && parts[at].base <= line.at);
    require(line.at + line.text.size() <= parts[at].base + parts[at].text.size());
  }
}

std::string seven_bits(std::string_view bytes) {
  std::string out(bytes);
  for (char& c : out) c = static_cast<char>(static_cast<unsigned char>(c) & 0x7FU);
  return out;
}

std::string with_even_parity(std::string out) {
  for (char& c : out) {
    const auto code = static_cast<unsigned char>(c);
    c = static_cast<char>(code | (std::popcount(code) % 2 != 0 ? 0x80U : 0U));
  }
  return out;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  // With a source that takes what no other does, and without one.
  static const std::array<Layout, 2> layouts = {make_layout(""), make_layout("begins = \"O\"\n")};
  if (size == 0) return 0;
  const Layout& layout = layouts[data[0] % layouts.size()];
  const std::string_view bytes(reinterpret_cast<const char*>(data) + 1, size - 1);

  reader::Cleaned cleaned;
  reader::clean(bytes, "file", cleaned);
  check_cleaned(bytes, cleaned);
  check_parts(cleaned.text,
              reader::cut_stream(layout, reader::find_candidates(layout, "file", ""), cleaned.text));
  fuzz::check_reading(layout, bytes);

  const std::string plain = seven_bits(bytes);
  const std::string punched = with_even_parity(plain);
  if (!reader::has_even_parity(punched)) return 0;
  const Reading of_plain = read_backup(layout, {}, {{"file", plain}});
  const Reading of_punched = read_backup(layout, {}, {{"file", punched}});
  require(of_punched.files[0].parity);
  require(of_punched.state == of_plain.state);
  require(of_punched.origins.size() == of_plain.origins.size());
  for (std::size_t i = 0; i < of_plain.origins.size(); ++i) {
    require(of_punched.origins[i].key == of_plain.origins[i].key);
    require(of_punched.origins[i].span.at == of_plain.origins[i].span.at);
  }
  return 0;
}
