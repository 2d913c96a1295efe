// Files that were cut off, as far as the baseline's own file tells: what always ended it is gone.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/digit.hpp"
#include "base/parity.hpp"
#include "keepway/text.hpp"
#include "verdict/checks.hpp"
#include "verdict/lines.hpp"

namespace keepway::verdict {
namespace {

// Whether a line in capitals has an end in words, as in END OF WORK; not so of the end of a loop or of a
// branch: ENDWHILE, END1 (all common practice, no source).
bool ends_in_words(std::string_view text) {
  for (std::size_t at = text.find("END"); at != std::string_view::npos; at = text.find("END", at + 1)) {
    if (at > 0 && is_letter(text[at - 1])) continue;
    const std::string_view rest = text.substr(at + 3);
    const std::string_view behind = visible_part(rest);
    if (!behind.empty() && is_digit(behind.front())) continue;
    constexpr std::array<std::string_view, 5> flow = {"IF", "WHILE", "REPEAT", "FOR", "LOOP"};
    if (std::none_of(flow.begin(), flow.end(),
                     [&](std::string_view word) { return behind.starts_with(word); }))
      return true;
  }
  return false;
}

// Whether a program's line may be its last: M2, M30, M99 (NISTIR 6556, 3.6.1; M99 is common practice, no
// source), the closing %, or an end in words.
bool ends_program(std::string_view line) {
  std::string text = upper(visible_part(line));
  if (text == "%" || ends_in_words(text)) return true;
  std::erase(text, ' ');
  for (const std::string_view end : {"M2", "M02", "M30", "M99"}) {
    for (std::size_t at = text.find(end); at != std::string::npos; at = text.find(end, at + 1)) {
      const std::size_t after = at + end.size();
      if (after == text.size() || text[after] < '0' || text[after] > '9') return true;
    }
  }
  return false;
}

// The line after `previous` in the baseline's file, where its text is longer and begins so: this one broke
// off.
bool breaks_off(const std::vector<TextLine>& now, const std::vector<TextLine>& was) {
  const TextLine last = last_visible(now);
  if (last.number < 2 || !last.end.empty()) return false;
  const std::string_view before = now[last.number - 2].text;
  for (std::size_t i = 1; i < was.size(); ++i) {
    if (was[i - 1].text == before && was[i].text.size() > last.text.size() &&
        was[i].text.starts_with(last.text))
      return true;
  }
  return false;
}

// Whether the text ends on a stretch of two lines that the baseline had further up, and what ended that is
// nowhere any more.
bool ends_early(const std::vector<TextLine>& now, const std::vector<TextLine>& was) {
  const TextLine last = last_visible(now);
  const TextLine old = last_visible(was);
  if (last.number < 2 || last.text == old.text) return false;
  const bool old_is_there =
      std::any_of(now.begin(), now.end(), [&](const TextLine& line) { return line.text == old.text; });
  if (old_is_there) return false;
  for (std::size_t i = 1; i + 1 < old.number; ++i) {
    if (was[i].text == last.text && was[i - 1].text == now[last.number - 2].text) return true;
  }
  return false;
}

bool has_line_end_of(const std::vector<TextLine>& lines, std::size_t bytes) {
  return std::any_of(lines.begin(), lines.end(),
                     [&](const TextLine& line) { return line.end.size() == bytes; });
}

// Whether a row of a table was read from a line of a file.
bool is_row(const Reading& reading, std::size_t file, std::size_t line) {
  return std::any_of(reading.origins.begin(), reading.origins.end(), [&](const Origin& origin) {
    return origin.span.file == file && origin.span.line == line && !is_unread(origin.key);
  });
}

std::string without_digits(std::string_view text) {
  std::string out(visible_part(text));
  std::erase_if(out, is_digit);
  return out;
}

// Whether a table that ended with a line that is no row, such as `18 ROWS`, ends with a row, and has no such
// line any more. Most files still have theirs as their last line, so that the old one need not be read.
bool lost_its_foot(Case& in, const Pair& pair, const std::vector<TextLine>& lines, const TextLine& old) {
  const TextLine last = last_visible(lines);
  if (visible_part(last.text).starts_with(visible_part(old.text))) return false;  // a row that got its value
  const std::string foot = without_digits(old.text);
  const bool has_it = std::any_of(lines.rbegin(), lines.rend(),
                                  [&](const TextLine& line) { return without_digits(line.text) == foot; });
  if (has_it || !is_row(in.input().reading, pair.now, last.number)) return false;
  const Reading& was = in.reading_was(pair);
  return !was.origins.empty() && !is_row(was, 0, old.number);
}

bool has_bit_8(std::string_view bytes) {
  return std::any_of(bytes.begin(), bytes.end(), [](char c) { return static_cast<unsigned char>(c) > 0x7f; });
}

bool carries_parity(const Reading& reading, std::size_t file) {
  return file < reading.files.size() && reading.files[file].parity;
}

// One side of a pair.
struct Text {
  std::string_view bytes;
  const std::vector<TextLine>& lines;
};

// What is wrong with the end of a file that ended well before; empty when nothing is.
std::string fault(Case& in, const Pair& pair, const Text& text, const Text& old_text) {
  const auto& [now, lines] = text;
  const auto& [was, old_lines] = old_text;
  if (visible_part(now).empty()) return "";  // an empty file is reported as that
  const TextLine last = last_visible(lines);
  const TextLine old = last_visible(old_lines);
  const bool half_an_end = old.end.size() == 2 && last.end.size() == 1 && last.number == lines.size() &&
                           has_line_end_of(lines, 2);  // else an editor wrote all of them so
  if (!old.end.empty() && (last.end.empty() || half_an_end))
    return "the last line has no line end, which this file had before";
  const Source* source = in.source_now(pair.now);
  const bool program = source != nullptr && source->reader == ReaderKind::blocks;
  // A program that is written without both of its % now was edited so; see ends_program().
  const bool unmarked = program && visible_part(first_visible(old_lines).text) == "%" &&
                        visible_part(first_visible(lines).text) != "%";
  if (visible_part(old.text) == "%" && visible_part(last.text) != "%" && !unmarked)
    return "the % that closed it is gone";
  if (program && ends_program(old.text) && !ends_program(last.text))
    return fmt::format("it ends at '{}', and ended with '{}' before", escape(visible_part(last.text)),
                       escape(visible_part(old.text)));
  // Programs one after another without a closing mark: the last of them may have been deleted.
  const bool whole_programs = program && ends_program(last.text);
  if (!whole_programs && was.size() > now.size() && was.starts_with(now))
    return fmt::format("it is the beginning of the file of {}, and ends there", in.before_name());
  if (!program && lost_its_foot(in, pair, lines, old))
    return fmt::format("it ends with a row, and '{}' closed it before", escape(visible_part(old.text)));
  if (breaks_off(lines, old_lines)) return "the last line breaks off";
  if (program && !whole_programs && ends_early(lines, old_lines))
    return fmt::format("it ends at '{}', and went on from there before", escape(visible_part(last.text)));
  return "";
}

std::string fault(Case& in, const Pair& pair) {
  const std::string_view now = in.now(pair);
  const std::string_view was = in.was(pair);
  const bool parity = carries_parity(in.input().reading, pair.now);
  // The old file is read again only where bit 8 is set in it at all.
  const bool old_parity = has_bit_8(was) && carries_parity(in.reading_was(pair), 0);
  if (!parity && !old_parity) return fault(in, pair, {now, in.lines_now(pair)}, {was, in.lines_was(pair)});
  const std::string text = parity ? without_parity(now) : std::string(now);
  const std::string old_text = old_parity ? without_parity(was) : std::string(was);
  return fault(in, pair, {text, lines_of(text)}, {old_text, lines_of(old_text)});
}

bool reported_by_reader(const JudgeInput& input, const std::string& file, const Reasons& reasons) {
  const std::string name = escape(file);
  const bool no_end = std::any_of(reasons.begin(), reasons.end(), [&](const Reason& reason) {
    return reason.weight != Worth::good && reason.code == "program-cut-off" && reason.place.file == name;
  });
  return no_end ||
         std::any_of(input.reading.oddities.begin(), input.reading.oddities.end(), [&](const Oddity& oddity) {
           const bool cut = oddity.kind == OddityKind::mark_unclosed || oddity.kind == OddityKind::cut_line;
           return cut && oddity.place.file == file;
         });
}

}  // namespace

void check_ends(Case& in, Reasons& reasons) {
  for (const Pair& pair : in.pairs()) {
    if (pair.same || reported_by_reader(in.input(), in.name_now(pair.now), reasons)) continue;
    const std::string why = fault(in, pair);
    if (why.empty()) continue;
    const std::string name = escape(in.name_now(pair.now));
    const TextLine last = last_visible(in.lines_now(pair));
    reasons.push_back({Worth::doubtful, "file-cut", fmt::format("{}: cut off: {}", name, why),
                       "at the machine, send this file again and watch that it runs to its end",
                       Place{name, last.number}, fmt::format("{}: {}", name, escape(last.text))});
  }
}

}  // namespace keepway::verdict
