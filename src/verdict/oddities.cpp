#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "keepway/text.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

struct Kind {
  Worth weight;
  const char* code;
  const char* what;
  const char* remedy;
};

Kind kind_of(OddityKind kind) {
  constexpr const char* again = "at the machine, send this file again and watch that it runs to its end";
  constexpr const char* none = "nothing to do: it is read all the same, and the original is kept";
  switch (kind) {
    case OddityKind::parity:
      return {Worth::good, "parity", "bytes carry even parity in bit 8", none};
    case OddityKind::bad_parity:
      return {Worth::doubtful, "parity-wrong", "bytes have the wrong parity: damaged on the line",
              "check the cable, its shield, and the speed and parity set at both ends, then send this file "
              "again"};
    case OddityKind::leader:
      return {Worth::good, "leader", "leader or device-control bytes", none};
    case OddityKind::byte_order_mark:
      return {Worth::good, "byte-order-mark", "begins with a byte order mark",
              "a PC program has saved this file; take the backup from the control itself"};
    case OddityKind::line_ends:
      return {Worth::good, "line-ends", "unusual or mixed line ends", none};
    case OddityKind::long_line:
      return {Worth::good, "long-line", "a line is longer than 256 characters",
              "check that the control takes lines of this length"};
    case OddityKind::no_final_newline:
      return {Worth::good, "no-final-newline", "the last line has no line end", none};
    case OddityKind::no_header_blank:
      return {Worth::good, "no-header-blank", "no blank line between header and rows", none};
    case OddityKind::repeated_row:
      return {Worth::good, "row-repeated", "a row is given twice; the last one counts", none};
    case OddityKind::clashing_rows:
      return {Worth::doubtful, "rows-clash",
              "two rows of a file give one item two values; the last one counts",
              "where the two are of different parts of the file, keep the parts apart in the layout (part or "
              "under); where the control takes the last, too, say repeats = \"last\""};
    case OddityKind::clashing_files:
      return {Worth::doubtful, "files-clash", "two files give one item two values; the last one counts",
              "one of the two is a copy from another time: take it out of the folder, and take the rest in "
              "again"};
    case OddityKind::number_from_name:
      return {Worth::good, "number-from-name", "the program has no number; taken from the file's name", none};
    case OddityKind::same_program:
      return {Worth::good, "program-repeated", "the same program twice, with the same text", none};
    case OddityKind::after_mark:
      return {Worth::good, "after-mark", "text after the closing %",
              "the control ignores it; the original keeps it"};
    case OddityKind::descending_row:
      return {Worth::doubtful, "row-order", "rows are not in ascending order", again};
    case OddityKind::missing_required:
      return {Worth::doubtful, "row-missing", "a required row is not there", again};
    case OddityKind::bad_value:
      return {Worth::doubtful, "value-not-allowed", "a value that this file may not hold",
              "look at this value at the machine"};
    case OddityKind::unread:
      return {Worth::doubtful, "text-unread", "text that no reader understood",
              "look at the line; if the control wrote it so, correct the layout (the text is kept)"};
    case OddityKind::mark_unclosed:
      return {Worth::doubtful, "program-cut-off", "opened with % and never closed: the text is cut off",
              again};
    case OddityKind::cut_line:
      return {Worth::doubtful, "program-cut-off", "the last line breaks off: the text is cut off", again};
    case OddityKind::no_end:
      return {Worth::doubtful, "program-cut-off", "no end of a program: it may be cut off", again};
    case OddityKind::clashing_program:
      return {Worth::doubtful, "program-clash", "the same program twice, with different text",
              "at the machine, check which one is right, delete the other, and back up again"};
    case OddityKind::other_serial:
      return {Worth::refused, "wrong-serial", "another serial than this machine's",
              "make sure that these files came off this machine: look at the serial on its nameplate"};
    case OddityKind::too_large:
      return {Worth::doubtful, "too-large", "over the limits of its reader; kept as it is, not read",
              "check that this file is what the control wrote"};
  }
  return {Worth::doubtful, "text-unread", "text that no reader understood", again};
}

// The line that an oddity is of, as a person would know it again when it has moved.
std::string text_of_line(const media::Set& set, const Place& place) {
  constexpr std::size_t most_shown = 200;
  if (!place.byte) return "";
  const auto file = std::find_if(set.files.begin(), set.files.end(),
                                 [&](const media::File& each) { return each.name == place.file; });
  if (file == set.files.end() || *place.byte > file->bytes.size()) return "";
  const std::string_view bytes = file->bytes;
  const std::size_t begin = *place.byte == 0 ? 0 : bytes.find_last_of("\r\n", *place.byte - 1) + 1;
  const std::size_t end = std::min(bytes.find_first_of("\r\n", *place.byte), bytes.size());
  return begin > end ? std::string() : escape(bytes.substr(begin, std::min(end - begin, most_shown)));
}

// Whether a program's file misses an end that it had, or that a new one should have as all the others do.
// Texts that others call are kept in files without an end of their own (common practice, no source).
bool misses_end(Case& in, const std::string& name) {
  const JudgeInput& input = in.input();
  if (in.before() == nullptr || !input.sound || !in.knows_old_files()) return true;
  std::size_t file = 0;
  while (file < input.set.files.size() && input.set.files[file].name != name) ++file;
  if (const Pair* pair = in.pair_of(file)) {
    if (pair->same) return false;
    const auto& old = in.reading_was(*pair).oddities;
    return std::none_of(old.begin(), old.end(),
                        [](const Oddity& each) { return each.kind == OddityKind::no_end; });
  }
  return std::all_of(input.reading.programs.begin(), input.reading.programs.end(),
                     [&](const ProgramFacts& program) { return program.span.file == file || program.ended; });
}

}  // namespace

// What two readers of one file both found is reported once. Of one kind in one file so many are reasons of
// their own; more are counted by the last, so that a hostile file costs no more than this.
void check_oddities(Case& in, Reasons& reasons) {
  const JudgeInput& input = in.input();
  constexpr std::size_t most = 2000;
  std::map<std::pair<OddityKind, std::string>, std::size_t> seen;
  std::set<std::tuple<OddityKind, std::string, std::uint64_t, std::string>> found;
  for (const Oddity& oddity : input.reading.oddities) {
    if (!found.insert({oddity.kind, oddity.place.file, oddity.place.line.value_or(0), oddity.detail}).second)
      continue;
    Kind kind = kind_of(oddity.kind);
    if (oddity.kind == OddityKind::no_end && !misses_end(in, oddity.place.file)) kind.weight = Worth::good;
    if (++seen[{oddity.kind, oddity.place.file}] > most) continue;
    Place place = oddity.place;
    place.file = escape(place.file);
    const std::string where = place.file + (place.line ? fmt::format(":{}", *place.line) : "");
    const std::string_view what = oddity.detail.empty() ? std::string_view(kind.what) : oddity.detail;
    // One without a line counts many: how many they are is what it is known by.
    // Two files that differ do so at other lines each day: what they are known by is the file.
    const bool of_file = oddity.kind == OddityKind::clashing_files;
    const std::string spot =
        of_file ? place.file
                : fmt::format("{}: {}", place.file,
                              place.line ? text_of_line(input.set, oddity.place) : std::string(what));
    reasons.push_back(
        {kind.weight, kind.code, fmt::format("{}: {}", where, what), kind.remedy, place, spot, true});
  }
  for (const auto& [what, times] : seen) {
    if (times <= most) continue;
    const Kind kind = kind_of(what.first);
    const std::string file = escape(what.second);
    reasons.push_back({kind.weight, kind.code,
                       fmt::format("{}: {}, {} times more", file, kind.what, times - most), kind.remedy,
                       Place{file}, fmt::format("{}: {} more", file, times - most), true});
  }
}

}  // namespace keepway::verdict
