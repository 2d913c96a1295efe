#include <fmt/format.h>

#include <map>
#include <set>
#include <tuple>

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
      return {Worth::doubtful, "parity-wrong", "bytes have the wrong parity: spoiled on the line",
              "check the cable, its screen, and the speed and parity set at both ends, then send this file "
              "out again"};
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
      return {Worth::good, "row-repeated", "a row is given again; the last stands", none};
    case OddityKind::clashing_files:
      return {Worth::doubtful, "files-clash", "two files give one item two values; the last stands",
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
              "look at the line; if the control wrote it so, mend the layout (the text is kept)"};
    case OddityKind::mark_unclosed:
      return {Worth::doubtful, "program-cut-off", "opened with % and never closed: the text is cut off",
              again};
    case OddityKind::cut_line:
      return {Worth::doubtful, "program-cut-off", "the last line breaks off: the text is cut off", again};
    case OddityKind::no_end:
      return {Worth::doubtful, "program-cut-off", "no M2, M30 or M99: the program may be cut off", again};
    case OddityKind::clashing_program:
      return {Worth::doubtful, "program-clash", "the same program twice, with different text",
              "at the machine, look which one is right, delete the other, and back up again"};
    case OddityKind::too_large:
      return {Worth::doubtful, "too-large", "over the bounds of its reader; kept as it is, not read",
              "check that this file is what the control wrote"};
  }
  return {Worth::doubtful, "text-unread", "text that no reader understood", again};
}

}  // namespace

// Of one kind in one file the first few are told with their place, the rest are counted. What two
// readers of one file both found is told once.
void check_oddities(const JudgeInput& input, Reasons& reasons) {
  constexpr std::size_t told = 3;
  std::map<std::pair<OddityKind, std::string>, std::size_t> seen;
  std::set<std::tuple<OddityKind, std::string, std::uint64_t, std::string>> found;
  for (const Oddity& oddity : input.reading.oddities) {
    if (!found.insert({oddity.kind, oddity.place.file, oddity.place.line.value_or(0), oddity.detail}).second)
      continue;
    const Kind kind = kind_of(oddity.kind);
    if (++seen[{oddity.kind, oddity.place.file}] > told) continue;
    Place place = oddity.place;
    place.file = escape(place.file);
    const std::string where = place.file + (place.line ? fmt::format(":{}", *place.line) : "");
    const std::string_view what = oddity.detail.empty() ? std::string_view(kind.what) : oddity.detail;
    reasons.push_back({kind.weight, kind.code, fmt::format("{}: {}", where, what), kind.remedy, place});
  }
  for (const auto& [what, times] : seen) {
    if (times <= told) continue;
    const Kind kind = kind_of(what.first);
    reasons.push_back({kind.weight, kind.code,
                       fmt::format("{}: {}, {} times more", escape(what.second), kind.what, times - told),
                       kind.remedy, Place{escape(what.second)}});
  }
}

}  // namespace keepway::verdict
