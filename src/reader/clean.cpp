#include "reader/clean.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>

#include "reader/drawn.hpp"
#include "reader/lines.hpp"
#include "reader/text.hpp"

namespace keepway::reader {
namespace {

constexpr unsigned char parity_bit = 0x80;
constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

// Control bytes that carry no text (ISO 646): leaders NUL and DEL, device controls DC1 to DC4, SUB that
// old disks end text with, form feed and vertical tab between pages.
constexpr bool is_leader(unsigned char c) {
  return c == 0x00 || c == 0x7F || (c >= 0x11 && c <= 0x14) || c == 0x1A || c == 0x0B || c == 0x0C;
}

// SOH, STX, ETX and EOT, which frame what is sent: before all text or behind it. Within it they are damage.
constexpr bool is_frame(unsigned char c) {
  return c >= 0x01 && c <= 0x04;
}

constexpr std::array<bool, 256> make_leaders() {
  std::array<bool, 256> out{};
  for (unsigned i = 0; i < 256; ++i) out[i] = is_leader(static_cast<unsigned char>(i));
  return out;
}
constexpr std::array<bool, 256> leaders = make_leaders();

std::string control_name(unsigned char c) {
  if (c <= 0x04) return std::array{"NUL", "SOH", "STX", "ETX", "EOT"}[c];
  if (c == 0x7F) return "DEL";
  if (c == 0x1A) return "SUB";
  if (c == 0x0B) return "vertical tab";
  if (c == 0x0C) return "form feed";
  return fmt::format("DC{}", c - 0x10);
}

std::uint64_t line_of(std::string_view text, std::size_t at) {
  Lines lines(text);
  Line line;
  std::uint64_t number = 1;
  while (lines.next(line) && line.at <= at) number = line.number;
  return number;
}

enum class LineEnd { none, cr, lf, cr_lf, lf_cr };

// The one that begins at `at`. LF CR is one end only where the text's first end is that.
LineEnd line_end(std::string_view text, std::size_t at, LineEnd first) {
  const char next = at + 1 < text.size() ? text[at + 1] : '\0';
  if (text[at] == '\r') return next == '\n' ? LineEnd::cr_lf : LineEnd::cr;
  const bool both = next == '\r' && (first == LineEnd::none || first == LineEnd::lf_cr);
  return both ? LineEnd::lf_cr : LineEnd::lf;
}

// Which of the four line ends are used, and where the first that differs from the first is.
void note_line_ends(std::string_view text, std::string_view name, Cleaned& out) {
  Lines lines(text);
  Line line;
  Line last;
  LineEnd first = LineEnd::none;
  std::optional<Place> mixed;
  while (lines.next(line)) {
    if (line.ended) {
      const std::size_t end = line.at + line.text.size();
      const LineEnd kind = line_end(text, end, first);
      if (first == LineEnd::none) first = kind;
      if (kind != first && !mixed) mixed = Place{std::string(name), line.number, end};
    }
    last = line;
  }
  if (mixed) {
    out.oddities.push_back({OddityKind::line_ends, *mixed, "line ends are mixed", Group::programs});
  } else if (first == LineEnd::cr || first == LineEnd::lf_cr) {
    const std::string what = first == LineEnd::cr ? "lines end with CR alone" : "lines end with LF CR";
    out.oddities.push_back({OddityKind::line_ends, Place{std::string(name), 1}, what, Group::programs});
  }
  if (!text.empty() && !last.ended && !trim(last.text).empty()) {
    out.oddities.push_back({OddityKind::no_final_newline, Place{std::string(name), last.number, text.size()},
                            "the last line has no line end", Group::programs});
  }
}

// How many bytes there are before one with bit 8 set, or nearly.
std::size_t ascii_front(std::string_view bytes) {
  std::size_t at = 0;
  for (std::uint64_t eight = 0; at + sizeof eight <= bytes.size(); at += sizeof eight) {
    std::memcpy(&eight, bytes.data() + at, sizeof eight);
    if ((eight & 0x8080808080808080U) != 0) break;
  }
  return at;
}

// Every byte with bit 8 set is part of a sequence of UTF-8's shape (RFC 3629). Parity hardly ever makes
// such: a blank with parity, A0, follows no leading byte.
bool looks_like_utf8(std::string_view bytes) {
  for (std::size_t at = ascii_front(bytes); at < bytes.size(); ++at) {
    const auto lead = static_cast<unsigned char>(bytes[at]);
    if (lead < 0x80) continue;
    if (lead < 0xC2 || lead > 0xF4) return false;
    for (int more = std::countl_one(lead) - 1; more > 0; --more) {
      if (++at == bytes.size() || (static_cast<unsigned char>(bytes[at]) & 0xC0U) != 0x80U) return false;
    }
  }
  return true;
}

// NUL and DEL, with bit 8 or without: leaders are punched either way.
bool stands_apart(unsigned char c) {
  return (c & ~parity_bit) == 0x00 || (c & ~parity_bit) == 0x7F;
}

// Control bytes that carry no text become blanks.
void blank_controls(std::string_view bytes, std::string_view name, Cleaned& out) {
  const std::string_view text = out.own.empty() ? bytes : std::string_view(out.own);
  const auto visible = [](char c) { return static_cast<unsigned char>(c) > ' ' && c != 0x7F; };
  const auto front = static_cast<std::size_t>(std::find_if(text.begin(), text.end(), visible) - text.begin());
  const auto behind = text.size() - static_cast<std::size_t>(
                                        std::find_if(text.rbegin(), text.rend(), visible) - text.rbegin());
  const auto is_none = [&](std::size_t at) {
    const auto byte = static_cast<unsigned char>(text[at]);
    return leaders[byte] || (is_frame(byte) && (at < front || at >= behind));
  };
  std::size_t first = 0;
  while (first < text.size() && !is_none(first)) ++first;
  if (first == text.size()) return;
  out.oddities.push_back({OddityKind::leader, Place{std::string(name), line_of(text, first), first},
                          fmt::format("the text has control bytes such as {}",
                                      control_name(static_cast<unsigned char>(text[first]))),
                          Group::programs});
  std::string blanked(text);
  for (std::size_t at = first; at < text.size(); ++at) {
    if (is_none(at)) blanked[at] = ' ';
  }
  out.own = std::move(blanked);
}

}  // namespace

Parity find_parity(std::string_view bytes) {
  constexpr std::size_t agreeing = 50;  // of so many bytes one may be spoiled
  Parity parity;
  if (looks_like_utf8(bytes)) return parity;
  bool used = false;
  std::size_t counted = 0;
  for (std::size_t at = 0; at < bytes.size(); ++at) {
    const auto c = static_cast<unsigned char>(bytes[at]);
    if (stands_apart(c)) continue;
    ++counted;
    used = used || c >= parity_bit;
    if (std::popcount(c) % 2 == 0) continue;
    if (parity.spoiled++ == 0) parity.first_spoiled = at;
  }
  parity.carried = used && parity.spoiled <= counted / agreeing;
  return parity;
}

bool has_even_parity(std::string_view bytes) {
  const Parity parity = find_parity(bytes);
  return parity.carried && parity.spoiled == 0;
}

void clean(std::string_view bytes, std::string_view name, Cleaned& out) {
  out.text = bytes;
  const Parity parity = find_parity(bytes);
  out.parity = parity.carried;
  const auto own = [&]() -> std::string& {
    if (out.own.empty()) out.own.assign(bytes);
    return out.own;
  };
  if (out.parity) {
    const auto first = std::find_if(bytes.begin(), bytes.end(),
                                    [](char c) { return static_cast<unsigned char>(c) >= parity_bit; });
    for (char& c : own()) {
      const auto byte = static_cast<unsigned char>(c);
      const bool spoiled = !stands_apart(byte) && std::popcount(byte) % 2 != 0;
      c = spoiled ? '?' : static_cast<char>(byte & ~parity_bit);
    }
    out.text = out.own;
    const auto at = static_cast<std::size_t>(first - bytes.begin());
    out.oddities.push_back({OddityKind::parity, Place{std::string(name), line_of(out.text, at), at},
                            "bytes carry even parity in bit 8", Group::programs});
    if (parity.spoiled > 0) {
      out.oddities.push_back(
          {OddityKind::bad_parity,
           Place{std::string(name), line_of(out.text, parity.first_spoiled), parity.first_spoiled},
           fmt::format("{} {} the wrong parity: damaged on the line, read as ?", parity.spoiled,
                       parity.spoiled == 1 ? "byte has" : "bytes have"),
           Group::programs});
    }
  }
  if (bytes.starts_with(byte_order_mark)) {
    std::fill_n(own().begin(), byte_order_mark.size(), ' ');
    out.oddities.push_back({OddityKind::byte_order_mark, Place{std::string(name), 1, 0},
                            "the file begins with a byte order mark", Group::programs});
  }
  blank_controls(bytes, name, out);
  if (!out.parity && is_drawn(bytes)) undraw(own());
  if (!out.own.empty()) out.text = out.own;
  note_line_ends(out.text, name, out);
}

}  // namespace keepway::reader
