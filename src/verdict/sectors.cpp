// Sectors that were lost on the way: runs of one byte where text was, bytes that no text holds, and whole
// sectors that are missing between two good parts. Sectors hold 128, 256, 512 or 1024 bytes (ECMA-125 and
// ECMA-54 name 512 and 128; the others are common practice, no source).
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <optional>
#include <span>
#include <unordered_map>
#include <unordered_set>
#include <utility>

#include "base/parity.hpp"
#include "compare/align.hpp"
#include "keepway/text.hpp"
#include "reader/drawn.hpp"
#include "verdict/checks.hpp"
#include "verdict/lines.hpp"
#include "verdict/runs.hpp"

namespace keepway::verdict {
namespace {

bool is_text(unsigned char byte) {
  return byte > 0x20 && byte < 0x7f;
}

constexpr std::size_t shortest_odd = 8;  // the least that least_odd() gives

// From how long on a run of a byte is none that a person or a control wrote. Rows of fixed width and
// comments have blanks and lines of `-`, `*` or `=` (common practice, no source).
std::size_t least_odd(unsigned char byte) {
  if (byte == '\n' || byte == '\r') return 64;
  if (byte == ' ') return 128;
  if (byte == '\t') return 32;
  if (!is_text(byte)) return shortest_odd;
  const bool letter_or_digit =
      (byte >= '0' && byte <= '9') || (byte >= 'A' && byte <= 'Z') || (byte >= 'a' && byte <= 'z');
  return letter_or_digit ? 24 : 128;
}

// Whether a line that the baseline had beside a % is beside one now: else what lay between is gone.
bool was_beside_mark(const std::vector<TextLine>& was, std::string_view text, bool behind) {
  std::string_view last;
  bool marked = false;
  for (const TextLine& line : was) {
    const std::string_view now = visible_part(line.text);
    if (now.empty()) continue;
    if (behind ? marked && now == text : now == "%" && last == text) return true;
    marked = now == "%";
    last = now;
  }
  return false;
}

// Tape has NUL or DEL before its first line, after its last, and beside its % lines (ISO 1113 / ECMA-10
// captures; common practice): that is a leader, not a loss, where the text beside it is what it was.
bool is_leader(std::string_view bytes, const Run& run, std::string_view was) {
  const auto low = static_cast<unsigned char>(static_cast<unsigned char>(bytes[run.at]) & 0x7fU);
  if (low != 0 && low != 0x7f) return false;
  const auto before = last_visible(lines_of(bytes.substr(0, run.at)));
  const auto after = first_visible(lines_of(bytes.substr(run.at + run.length)));
  const std::string_view left = visible_part(before.text);
  const std::string_view right = visible_part(after.text);
  const bool at_mark = left == "%" || right == "%";
  if (was.empty()) return at_mark || left.empty() || right.empty();
  if (!at_mark && !left.empty() && !right.empty()) return false;
  const auto lines = lines_of(was);
  if (left.empty()) return visible_part(first_visible(lines).text) == right;
  if (right.empty()) return visible_part(last_visible(lines).text) == left;
  return (left != "%" || was_beside_mark(lines, right, true)) &&
         (right != "%" || was_beside_mark(lines, left, false));
}

// Whether a run at a file's beginning or end, of bytes that are no text, is just what a lost sector leaves.
bool is_sector(std::string_view bytes, const Run& run) {
  constexpr std::size_t size = 512;
  const std::size_t end = run.at + run.length;
  const bool at_edge = (run.at == 0) != (end == bytes.size());
  return at_edge && run.at % size == 0 && run.length >= size &&
         (run.length % size == 0 || end == bytes.size());
}

std::string byte_name(unsigned char byte) {
  if (byte == 0) return "NUL bytes";
  if (byte == ' ') return "blanks";
  if (byte == '\n' || byte == '\r') return "line ends";
  return is_text(byte) ? fmt::format("'{}'", static_cast<char>(byte)) : fmt::format("bytes {:02X}", byte);
}

std::size_t line_at(std::string_view bytes, std::size_t at) {
  return 1 + static_cast<std::size_t>(
                 std::count(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
}

// Whether a run is in a line of a table that is drawn, in a code page, as wide as a line is.
bool is_in_drawn_rule(std::string_view bytes, const Run& run) {
  constexpr std::size_t widest = 160;
  if (run.length > widest) return false;
  const std::size_t begin = bytes.find_last_of("\r\n", run.at) + 1;  // npos + 1 is 0
  const std::size_t end = std::min(bytes.find_first_of("\r\n", run.at), bytes.size());
  return end - begin <= widest && reader::is_drawn_rule(bytes.substr(begin, end - begin));
}

constexpr const char* copy_again =
    "copy the medium again, or send this file again onto another one, then take it in again";

bool check_runs(const std::string& name, std::string_view now, std::string_view was, bool paired,
                const std::function<std::optional<std::size_t>(unsigned char)>& usual,
                const std::function<bool(unsigned char)>& is_usual_edge, Reasons& reasons) {
  std::optional<Runs> old;          // without a tape's leader and trailer; most files have no run worth it
  constexpr std::size_t most = 64;  // runs that are looked at, each with the text around it
  std::size_t looked_at = 0;
  std::optional<Run> lost;
  each_long_run(now, shortest_odd, [&](const Run& run) {
    if (lost) return;
    if (!old) old = longest_runs(visible_part(was));
    const auto byte = static_cast<unsigned char>(now[run.at]);
    // Where the baseline had the file, its own longest run says what is usual; else those of its kind do.
    const std::size_t shortest = std::min<std::size_t>(least_odd(byte), 32);
    std::size_t least = least_odd(byte);
    if (paired)
      least = std::max(shortest, (*old)[byte].length * 2 + 8);
    else if (run.length >= shortest && run.length < least)
      if (const auto longest = usual(byte)) least = std::max(shortest, *longest * 2 + 8);
    if (run.length < least || (run.length < least_odd(byte) && is_text(byte))) return;
    if (++looked_at > most || is_in_drawn_rule(now, run)) return;
    const bool inside = !visible_part(now.substr(0, run.at)).empty() &&
                        !visible_part(now.substr(run.at + run.length)).empty();
    const bool sector = !paired && is_sector(now, run) && usual(byte).value_or(run.length) * 2 < run.length &&
                        !is_usual_edge(byte);
    if (((paired || inside) && !is_leader(now, run, was)) || sector) lost = run;
  });
  if (!lost) return false;
  const auto byte = static_cast<unsigned char>(now[lost->at]);
  reasons.push_back({Worth::doubtful, "sector-lost",
                     fmt::format("{}:{}: {} {} in a row where text should be: looks like a lost sector", name,
                                 line_at(now, lost->at), lost->length, byte_name(byte)),
                     copy_again, Place{name, line_at(now, lost->at), lost->at},
                     fmt::format("{}: {} {} at {}", name, lost->length, byte_name(byte), lost->at)});
  return true;
}

// One stretch of lines that was replaced: a sector is gone from it when what is left is its beginning and its
// end, with a whole number of sectors between. Cut within a line, any sector's size tells; between lines,
// where people delete too, only that of today's media.
std::size_t lost_bytes(std::string_view was, std::string_view now) {
  if (was.size() <= now.size()) return 0;
  const std::size_t lost = was.size() - now.size();
  std::size_t head = 0;
  while (head < now.size() && now[head] == was[head]) ++head;
  std::size_t tail = 0;
  while (tail < now.size() - head && now[now.size() - 1 - tail] == was[was.size() - 1 - tail]) ++tail;
  if (head + tail < now.size()) return 0;
  const bool within_lines = !now.empty();
  return lost % 512 == 0 || (within_lines && lost % 128 == 0) ? lost : 0;
}

using SomeLines = std::span<const TextLine>;

// Where values changed and no line came or went, each line is as the one at its place on the other side, or
// one that no line of the other side is: those stay, these do not. nullopt elsewhere.
std::optional<Alignment> stays_in_place(SomeLines was, SomeLines now) {
  if (was.size() != now.size()) return std::nullopt;
  Alignment stays{std::vector<bool>(was.size(), true), std::vector<bool>(now.size(), true)};
  std::unordered_set<std::string_view> gone;
  std::unordered_set<std::string_view> come;
  for (std::size_t i = 0; i < was.size(); ++i) {
    if (was[i].text == now[i].text) continue;
    stays.before[i] = stays.after[i] = false;
    gone.insert(was[i].text);
    come.insert(now[i].text);
  }
  const std::size_t changed = gone.size() + come.size();
  gone.merge(come);
  if (gone.size() != changed) return std::nullopt;
  for (std::size_t i = 0; i < was.size(); ++i) {
    if (stays.before[i] && gone.contains(was[i].text)) return std::nullopt;
  }
  return stays;
}

// Which lines of two files stay. Most are as the one at their place on the other side, and need not be looked
// up.
Alignment align_lines(SomeLines was, SomeLines now) {
  if (auto stays = stays_in_place(was, now)) return std::move(*stays);
  std::unordered_map<std::string_view, std::uint32_t> numbers;
  numbers.reserve(was.size());
  const auto number = [&](const TextLine& line) {
    return numbers.emplace(line.text, static_cast<std::uint32_t>(numbers.size())).first->second;
  };
  std::vector<std::uint32_t> before(was.size());
  std::transform(was.begin(), was.end(), before.begin(), number);
  std::vector<std::uint32_t> after(now.size());
  for (std::size_t i = 0; i < now.size(); ++i)
    after[i] = i < was.size() && was[i].text == now[i].text ? before[i] : number(now[i]);
  return align(before, after);
}

// The lines of a part of a file. Where it does not begin and end with lines of the whole it is split by
// itself, into `own`.
SomeLines lines_of_part(SomeLines whole, std::string_view part, std::vector<TextLine>& own) {
  const auto from = [&](const char* at) {
    return std::lower_bound(whole.begin(), whole.end(), at,
                            [](const TextLine& line, const char* place) { return line.text.data() < place; });
  };
  const auto first = from(part.data());
  const auto behind = from(part.data() + part.size());
  if (first < behind && first->text.data() == part.data()) {
    const std::string_view last = std::prev(behind)->end;
    if (last.data() + last.size() == part.data() + part.size()) return {first, behind};
  }
  return own = lines_of(part);
}

std::string_view stretch(std::string_view bytes, SomeLines lines, std::size_t from, std::size_t to) {
  if (from == to) return {};
  const char* begin = lines[from].text.data();
  const char* end = lines[to - 1].end.data() + lines[to - 1].end.size();
  return bytes.substr(static_cast<std::size_t>(begin - bytes.data()), static_cast<std::size_t>(end - begin));
}

// How much both begin and end with, in whole lines.
struct Common {
  std::size_t head = 0;
  std::size_t tail = 0;
};

Common common_lines(std::string_view a, std::string_view b) {
  const std::size_t shorter = std::min(a.size(), b.size());
  Common common;
  while (common.head < shorter && a[common.head] == b[common.head]) ++common.head;
  while (common.head > 0 && a[common.head - 1] != '\n') --common.head;
  const std::size_t left = shorter - common.head;
  while (common.tail < left && a[a.size() - 1 - common.tail] == b[b.size() - 1 - common.tail]) ++common.tail;
  const std::size_t end = a.find('\n', a.size() - common.tail);
  common.tail = common.tail == 0 || end == std::string_view::npos ? 0 : a.size() - end - 1;
  return common;
}

void check_hole(Case& in, const std::string& name, const Pair& pair, Reasons& reasons) {
  std::string_view now = in.now(pair);
  std::string_view was = in.was(pair);
  const auto report = [&](std::size_t lost, std::size_t line) {
    reasons.push_back(
        {Worth::doubtful, "sector-missing",
         fmt::format("{}:{}: exactly {} bytes of {} are gone from here, and what was around them "
                     "is there: looks like a lost sector",
                     name, line, lost, in.before_name()),
         copy_again, Place{name, line}, fmt::format("{}: {} bytes gone at line {}", name, lost, line)});
  };
  // Where nothing else changed, the whole file is one stretch: lines that the hole holds may be there twice.
  if (const std::size_t lost = lost_bytes(was, now); lost > 0 && lost % 512 == 0) {
    const auto seam = std::mismatch(now.begin(), now.end(), was.begin()).first;
    return report(lost, 1 + static_cast<std::size_t>(std::count(now.begin(), seam, '\n')));
  }
  const Common common = common_lines(now, was);
  const std::size_t first = static_cast<std::size_t>(
      std::count(now.begin(), now.begin() + static_cast<std::ptrdiff_t>(common.head), '\n'));
  now = now.substr(common.head, now.size() - common.head - common.tail);
  was = was.substr(common.head, was.size() - common.head - common.tail);
  std::vector<TextLine> own;
  std::vector<TextLine> old_own;
  const SomeLines lines = lines_of_part(in.lines_now(pair), now, own);
  const SomeLines old_lines = lines_of_part(in.lines_was(pair), was, old_own);
  const Alignment stays = align_lines(old_lines, lines);
  std::size_t a = 0;
  std::size_t b = 0;
  while (a < old_lines.size() || b < lines.size()) {
    std::size_t to_a = a;
    std::size_t to_b = b;
    while (to_a < old_lines.size() && !stays.before[to_a]) ++to_a;
    while (to_b < lines.size() && !stays.after[to_b]) ++to_b;
    const std::size_t lost = lost_bytes(stretch(was, old_lines, a, to_a), stretch(now, lines, b, to_b));
    if (lost > 0) {
      return report(lost, first + std::min(b + 1, lines.size()));
    }
    a = to_a + 1;
    b = to_b + 1;
  }
}

// A hole that a backup taken independently has at the same place is what the machine holds: no two media lose
// one sector.
bool has_too(const Previous* witness, const Reason& reason) {
  const std::string said = reason.code + ": " + reason.what;
  return witness != nullptr &&
         std::find(witness->reasons.begin(), witness->reasons.end(), said) != witness->reasons.end();
}

// How often bytes hold a CR or an LF that is no part of CR LF.
std::size_t lone_ends(std::string_view bytes, char end) {
  std::size_t count = 0;
  for (std::size_t at = bytes.find(end); at != std::string_view::npos; at = bytes.find(end, at + 1)) {
    const bool paired =
        end == '\r' ? at + 1 < bytes.size() && bytes[at + 1] == '\n' : at > 0 && bytes[at - 1] == '\r';
    if (!paired) ++count;
  }
  return count;
}

// A control byte between two visible ones, on a line that the baseline had not: no control writes that. Nor
// does one that ends its lines with CR LF write a CR alone, or LF alone once.
void check_stray(const std::string& name, std::string_view now, std::string_view was, Reasons& reasons) {
  const std::string_view visible = visible_part(now);
  const auto last = static_cast<std::size_t>(visible.data() - now.data()) + visible.size();
  const bool ends_both = was.find("\r\n") != std::string_view::npos && lone_ends(was, '\r') == 0;
  const bool one_alone = ends_both && lone_ends(was, '\n') == 0 && lone_ends(now, '\n') == 1;
  for (std::size_t at = 1; at + 1 < now.size(); ++at) {
    const auto byte = static_cast<unsigned char>(now[at]);
    if ((byte >= 0x20 && byte != 0x7f) || byte == '\t') continue;
    if (byte == '\r') {
      if (now[at + 1] == '\n' || !ends_both || at > last) continue;
    } else if (byte == '\n') {
      if (!one_alone || now[at - 1] == '\r' || at > last) continue;
    } else if (!is_text(static_cast<unsigned char>(now[at - 1])) ||
               !is_text(static_cast<unsigned char>(now[at + 1])) ||
               was.find(now[at]) != std::string_view::npos) {
      continue;
    }
    reasons.push_back(
        {Worth::doubtful, "stray-byte",
         fmt::format("{}:{}: a byte {:02X} within text: damaged on the way", name, line_at(now, at), byte),
         copy_again, Place{name, line_at(now, at), at},
         fmt::format("{}: byte {:02X} at {}", name, byte, at)});
    return;
  }
}

}  // namespace

void check_sectors(Case& in, Reasons& reasons) {
  UsualRuns usual_runs(in);
  for (std::size_t i = 0; i < in.input().set.files.size(); ++i) {
    const FileFacts& facts = in.input().reading.files[i];
    const Pair* pair = in.pair_of(i);
    if (facts.source == FileFacts::no_source || (pair != nullptr && pair->same)) continue;
    const std::string_view now = in.input().set.files[i].bytes;
    const std::string_view was = pair == nullptr ? std::string_view() : in.was(*pair);
    if (visible_part(now).empty()) continue;  // an empty file is reported as that
    const std::string name = escape(in.name_now(i));
    const auto usual = [&](unsigned char byte) { return usual_runs.in_others(i, byte); };
    const auto edge = [&](unsigned char byte) { return usual_runs.at_edge_of_others(i, byte); };
    const bool run = facts.parity ? check_runs(name, without_parity(now), without_parity(was),
                                               pair != nullptr, usual, edge, reasons)
                                  : check_runs(name, now, was, pair != nullptr, usual, edge, reasons);
    if (run) continue;
    if (pair != nullptr) check_hole(in, name, *pair, reasons);
    if (!reasons.empty() && reasons.back().code == "sector-missing" && reasons.back().place.file == name &&
        has_too(in.witness(), reasons.back()))
      reasons.back().weight = Worth::good;  // worth knowing
    if (!facts.parity) check_stray(name, now, was, reasons);
  }
}

}  // namespace keepway::verdict
