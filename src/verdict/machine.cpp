// Whether these files came off this machine: its serial where it was before, what belongs to it alone, and
// how much is other than it was.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/digit.hpp"
#include "keepway/compare.hpp"
#include "keepway/text.hpp"
#include "reader/serial_line.hpp"
#include "verdict/checks.hpp"
#include "verdict/lines.hpp"

namespace keepway::verdict {
namespace {

constexpr std::size_t shortest_serial = 3;  // a shorter one is in any text by chance
constexpr const char* remedy =
    "check whose stick this is: if the files did come off this machine, take them in with --accept";

bool is_word(char c) {
  return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

std::string_view word_at(std::string_view text, std::size_t at) {
  std::size_t end = at;
  while (end < text.size() && is_word(text[end])) ++end;
  return text.substr(at, end - at);
}

// Whether digits go on behind a decimal point or comma beside a word: it is a part of a number then.
bool is_in_number(std::string_view text, std::size_t at, std::size_t end) {
  const auto is_mark = [&](std::size_t i) { return i < text.size() && (text[i] == '.' || text[i] == ','); };
  const auto digit_at = [&](std::size_t i) { return i < text.size() && is_digit(text[i]); };
  return (at >= 2 && is_mark(at - 1) && is_digit(text[at - 2])) || (is_mark(end) && digit_at(end + 1));
}

// Where a word is by itself; npos where it is not.
std::size_t find_word(std::string_view text, std::string_view word) {
  for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
    const bool begins = at == 0 || !is_word(text[at - 1]);
    if (begins && word_at(text, at) == word && !is_in_number(text, at, at + word.size())) return at;
  }
  return std::string_view::npos;
}

// The word that a line has now where it had the serial; empty when there is no such line.
std::string_view instead(const std::vector<TextLine>& lines, std::string_view old, std::size_t at,
                         std::string_view serial) {
  const std::string_view head = old.substr(0, at);
  const std::string_view tail = old.substr(at + serial.size());
  if (visible_part(head).empty() && visible_part(tail).empty()) return {};
  for (const TextLine& line : lines) {
    if (!line.text.starts_with(head)) continue;
    const std::string_view word = word_at(line.text, at);
    if (!word.empty() && word != serial && line.text.substr(at + word.size()) == tail) return word;
  }
  return {};
}

// Whether a line of the baseline's file is a row of what changes by itself: a parts counter may pass the
// number that is the serial.
bool is_living(Case& in, const Pair& pair, std::uint64_t line) {
  const auto& origins = in.reading_was(pair).origins;
  return std::any_of(origins.begin(), origins.end(), [&](const Origin& origin) {
    if (origin.span.line != line || origin.group == Group::programs) return false;
    const auto entry = in.input().namebook.find(origin.group, origin.key);
    return entry && entry->living;
  });
}

// A line that carried the serial, and carries another word in its place.
void check_text(Case& in, Reasons& reasons) {
  const std::string& serial = in.input().serial;
  for (const Pair& pair : in.pairs()) {
    const Source* source = in.source_now(pair.now);
    if (pair.same || source == nullptr) continue;
    const std::string_view was = in.was(pair);
    if (find_word(was, serial) == std::string_view::npos) continue;
    const auto& lines = in.lines_now(pair);
    const bool still = find_word(in.now(pair), serial) != std::string_view::npos;
    const std::string name = escape(in.name_now(pair.now));
    for (const TextLine& old : in.lines_was(pair)) {
      const std::size_t at = find_word(old.text, serial);
      if (at == std::string_view::npos) continue;
      const std::string_view other = instead(lines, old.text, at, serial);
      const bool kept = std::any_of(lines.begin(), lines.end(),
                                    [&](const TextLine& line) { return line.text == old.text; });
      if (!kept && is_living(in, pair, old.number)) continue;
      if (kept || (other.empty() && (still || source->reader == ReaderKind::blocks))) continue;
      const std::string line = escape(visible_part(old.text));
      reasons.push_back(
          {Worth::doubtful, "serial-differs",
           other.empty()
               ? fmt::format("{}: the line '{}' with this machine's serial is gone", name, line)
               : fmt::format("{}: '{}' says {} now: another machine's serial", name, line, escape(other)),
           remedy, Place{name}, fmt::format("{}: {} {}", name, line, escape(other))});
      break;
    }
  }
}

constexpr std::size_t heading = 8;  // lines

// What a file's heading names as a serial, before any history.
void check_heading(Case& in, Reasons& reasons) {
  const std::string& serial = in.input().serial;
  for (std::size_t i = 0; i < in.input().set.files.size(); ++i) {
    const Source* source = in.source_now(i);
    const Pair* pair = in.pair_of(i);
    // One program's text may speak of any serial; rows of `[part] key = value` have their keys.
    const bool text_of_its_own =
        source != nullptr && source->reader == ReaderKind::blocks && in.before() != nullptr;
    if (source == nullptr || source->reader == ReaderKind::sections || pair != nullptr || text_of_its_own)
      continue;
    const auto lines = lines_of(std::string_view(in.input().set.files[i].bytes).substr(0, 2048));
    for (std::size_t n = 0; n < std::min(heading, lines.size()); ++n) {
      const std::string found = reader::serial_in_line(lines[n].text);
      if (found.empty() || reader::is_of_serial(found, serial)) continue;
      const std::string name = escape(in.name_now(i));
      reasons.push_back({Worth::doubtful, "serial-differs",
                         fmt::format("{}:{}: the heading names the serial {}, and this machine's is {}", name,
                                     n + 1, escape(found), escape(serial)),
                         remedy, Place{name, n + 1}, fmt::format("{}: {}", name, escape(found))});
      break;
    }
  }
}

std::string named_in_heading(const std::vector<TextLine>& lines) {
  for (std::size_t n = 0; n < std::min(heading, lines.size()); ++n) {
    if (std::string found = reader::serial_in_line(lines[n].text); !found.empty()) return found;
  }
  return {};
}

// A heading that names another serial than it did, whatever serial was given for the machine, where nothing
// else found it.
void check_named(Case& in, Reasons& reasons) {
  for (const Pair& pair : in.pairs()) {
    const Source* source = in.source_now(pair.now);
    if (pair.same || source == nullptr || source->reader == ReaderKind::sections ||
        source->reader == ReaderKind::blocks)
      continue;
    const std::string was = named_in_heading(in.lines_was(pair));
    const std::string now = named_in_heading(in.lines_now(pair));
    if (was.empty() || now.empty() || reader::is_of_serial(now, in.input().serial) ||
        reader::is_same_serial(was, now))
      continue;
    const std::string name = escape(in.name_now(pair.now));
    const bool is_said = std::any_of(reasons.begin(), reasons.end(), [&](const Reason& reason) {
      return reason.code == "serial-differs" && reason.place.file == name;
    });
    if (is_said) continue;
    reasons.push_back({Worth::doubtful, "serial-differs",
                       fmt::format("{}: the heading names the serial {}, and that of {} names {}", name,
                                   escape(now), in.before_name(), escape(was)),
                       remedy, Place{name}, fmt::format("{}: {}", name, escape(now))});
  }
}

// A value that was the serial.
void check_values(Case& in, Reasons& reasons) {
  const std::string& serial = in.input().serial;
  const auto is_serial = [&](const std::string& value) {
    if (value == serial) return true;
    const auto number = Decimal::parse(value);
    return number && number == Decimal::parse(serial);
  };
  for (const ValueChange& change : in.changed()) {
    if (change.group != Group::parameters && change.group != Group::settings) continue;
    if (!change.before || !change.after || !is_serial(*change.before) || is_serial(*change.after)) continue;
    const std::string address = escape(Address{change.group, change.key}.text());
    reasons.push_back(
        {Worth::doubtful,
         "serial-differs",
         fmt::format("{} was this machine's serial and is {} now", address, escape(*change.after)),
         remedy,
         {},
         address});
  }
}

// Whether a name is the old one with another word where that had the serial.
bool has_another_serial(std::string_view name, std::string_view old, std::string_view serial) {
  const std::size_t at = old.find(serial);
  if (at == std::string_view::npos || name == old) return false;
  const std::string_view head = old.substr(0, at);
  const std::string_view tail = old.substr(at + serial.size());
  return name.size() > head.size() + tail.size() && name.starts_with(head) && name.ends_with(tail);
}

// A file that carried the serial in its name, and carries another word there: one that took the old one's
// place, or one beside those that are gone.
void check_names(Case& in, Reasons& reasons) {
  const auto check = [&](std::size_t now, std::size_t was) {
    const std::string& name = in.name_now(now);
    const std::string& old = in.name_was(was);
    if (in.input().reading.files[now].wrong_serial || !has_another_serial(name, old, in.input().serial))
      return;
    reasons.push_back(
        {Worth::doubtful, "serial-differs",
         fmt::format("{} is named with another serial: it was {} before", escape(name), escape(old)), remedy,
         Place{escape(name)}, escape(name)});
  };
  for (const Pair& pair : in.pairs()) check(pair.now, pair.was);
  for (const std::size_t gone : in.gone()) {
    for (std::size_t i = 0; i < in.input().set.files.size(); ++i) {
      if (in.pair_of(i) == nullptr) check(i, gone);
    }
  }
}

void check_own(Case& in, Reasons& reasons) {
  const Namebook& book = in.input().namebook;
  if (book.entries().empty()) return;
  for (const ValueChange& change : in.changed()) {
    if (!change.before || !change.after) continue;
    const auto entry = book.find(change.group, change.key);
    if (!entry || !entry->own || entry->living) continue;
    const std::string address = escape(Address{change.group, change.key}.text());
    reasons.push_back(
        {Worth::doubtful,
         "machine-own-changed",
         fmt::format(
             "{} ({}) went from {} to {}: it belongs to one machine, and another machine's files look so",
             escape(book.name(change.group, change.key)), address, escape(*change.before),
             escape(*change.after)),
         remedy,
         {},
         address});
  }
}

struct Share {
  std::size_t set = 0;
  std::size_t differ = 0;
  void add(const Case& in, Group group) {
    const auto& was = in.before()->state.table(group);
    const auto& now = in.input().reading.state.table(group);
    if (!was || !now) return;
    ItemCursor here(*now);
    for (const Item& item : *was) {
      if (is_unread(item.key) || item.value == "0") continue;
      const Entry* entry = in.input().namebook.row(group, item.key);
      if (entry != nullptr && entry->living) continue;
      const Item* is = here.find(item.key);
      if (is == nullptr) continue;
      ++set;
      // What turned zero is lost rather than another's.
      differ += is->value != item.value && is->value != "0" ? 1 : 0;
    }
  }
};

bool shares_a_program(const State& was, const State& now) {
  return std::any_of(was.programs.begin(), was.programs.end(), [&](const Program& program) {
    return now.program(program.name) != nullptr ||
           std::any_of(now.programs.begin(), now.programs.end(),
                       [&](const Program& other) { return other.text == program.text; });
  });
}

// No serial anywhere: how much differs. In daily work a few parameters and settings do, and not one program
// in three is new.
void check_share(Case& in, Reasons& reasons) {
  constexpr std::size_t least = 12;
  constexpr std::size_t least_programs = 4;
  const auto too_much = [&](const std::string& what, const char* spot) {
    reasons.push_back({Worth::doubtful,
                       "much-differs",
                       what + ": another machine's files, or everything was loaded again",
                       remedy,
                       {},
                       spot});
  };
  Share fixed;
  fixed.add(in, Group::parameters);
  fixed.add(in, Group::settings);
  if (fixed.set >= least && fixed.differ * 10 >= fixed.set * 3)
    too_much(fmt::format("{} of {} parameters and settings differ from {}", fixed.differ, fixed.set,
                         in.before_name()),
             "parameters");
  const State& was = in.before()->state;
  const State& now = in.input().reading.state;
  if (was.programs.size() >= least_programs && now.programs.size() >= least_programs &&
      !shares_a_program(was, now))
    too_much(fmt::format("not one of the {} programs of {} is here, and {} others are", was.programs.size(),
                         in.before_name(), now.programs.size()),
             "programs");
}

}  // namespace

void check_machine(Case& in, Reasons& reasons) {
  const bool serial = in.input().serial.size() >= shortest_serial;
  if (serial) check_heading(in, reasons);
  if (in.before() == nullptr) return;
  if (serial) {
    check_text(in, reasons);
    check_values(in, reasons);
    check_names(in, reasons);
  }
  check_named(in, reasons);
  check_own(in, reasons);
  check_share(in, reasons);
}

}  // namespace keepway::verdict
