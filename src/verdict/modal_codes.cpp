#include "verdict/modal_codes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <string_view>

#include "verdict/number_words.hpp"

namespace keepway::verdict {
namespace {

enum class ModalKind : std::size_t { units, distance, offset, feed, plane, side, direction };
constexpr std::size_t kind_count = 7;

struct Sentence {
  std::string_view now;
  std::string_view before;
};
constexpr std::array<Sentence, kind_count> sentences = {{{"lengths are", "were"},
                                                         {"distances are", "were"},
                                                         {"the work offset is", "was"},
                                                         {"the feed is", "was"},
                                                         {"the plane is", "was"},
                                                         {"the cutter is", "was"},
                                                         {"the spindle turns", "turned"}}};

struct Code {
  ModalKind kind;
  char letter;
  std::string_view number;
  std::string_view means;
};
constexpr std::array<Code, 23> known_codes = {{{ModalKind::units, 'G', "20", "in inches"},
                                               {ModalKind::units, 'G', "21", "in millimetres"},
                                               {ModalKind::distance, 'G', "90", "absolute"},
                                               {ModalKind::distance, 'G', "91", "from where the axis is"},
                                               {ModalKind::offset, 'G', "54", "G54's"},
                                               {ModalKind::offset, 'G', "55", "G55's"},
                                               {ModalKind::offset, 'G', "56", "G56's"},
                                               {ModalKind::offset, 'G', "57", "G57's"},
                                               {ModalKind::offset, 'G', "58", "G58's"},
                                               {ModalKind::offset, 'G', "59", "G59's"},
                                               {ModalKind::offset, 'G', "59.1", "G59.1's"},
                                               {ModalKind::offset, 'G', "59.2", "G59.2's"},
                                               {ModalKind::offset, 'G', "59.3", "G59.3's"},
                                               {ModalKind::feed, 'G', "93", "by inverse time"},
                                               {ModalKind::feed, 'G', "94", "a minute"},
                                               {ModalKind::feed, 'G', "95", "a revolution"},
                                               {ModalKind::plane, 'G', "17", "XY"},
                                               {ModalKind::plane, 'G', "18", "XZ"},
                                               {ModalKind::plane, 'G', "19", "YZ"},
                                               {ModalKind::side, 'G', "41", "left of its path"},
                                               {ModalKind::side, 'G', "42", "right of its path"},
                                               {ModalKind::direction, 'M', "3", "clockwise"},
                                               {ModalKind::direction, 'M', "4", "counterclockwise"}}};

// By code: the first line that has it, or null.
using Found = std::array<const std::string*, known_codes.size()>;

Found find_codes(const std::vector<std::string>& lines) {
  Found found{};
  for (const std::string& line : lines) {
    for (const NumberWord& word : number_words(line).words) {
      if (word.letter != 'G' && word.letter != 'M') continue;
      const auto code = std::find_if(known_codes.begin(), known_codes.end(), [&](const Code& each) {
        return each.letter == word.letter && each.number == word.number;
      });
      if (code == known_codes.end()) continue;
      const std::string*& first = found[static_cast<std::size_t>(code - known_codes.begin())];
      if (first == nullptr) first = &line;
    }
  }
  return found;
}

// The first of a kind that `some` have and `others` lack; known_codes.size() for none.
std::size_t only_in(const Found& some, const Found& others, ModalKind kind) {
  std::size_t i = 0;
  while (i < known_codes.size() &&
         !(known_codes[i].kind == kind && some[i] != nullptr && others[i] == nullptr))
    ++i;
  return i;
}

}  // namespace

std::vector<ModalChange> modal_changes(const std::vector<std::string>& before,
                                       const std::vector<std::string>& after) {
  const Found was = find_codes(before);
  const Found is = find_codes(after);
  std::vector<ModalChange> out;
  for (std::size_t kind = 0; kind < kind_count; ++kind) {
    const std::size_t gone = only_in(was, is, static_cast<ModalKind>(kind));
    const std::size_t come = only_in(is, was, static_cast<ModalKind>(kind));
    if (gone == known_codes.size() || come == known_codes.size()) continue;
    const Code& from = known_codes[gone];
    const Code& to = known_codes[come];
    out.push_back({fmt::format("{}{} to {}{}: {} {} now, and {} {}", from.letter, from.number, to.letter,
                               to.number, sentences[kind].now, to.means, sentences[kind].before, from.means),
                   *was[gone], *is[come]});
  }
  return out;
}

}  // namespace keepway::verdict
