#include "compare/modal.hpp"

namespace keepway {
namespace {

struct Code {
  char letter;
  std::string_view value;
  Modal group;
  std::string_view name;
};

constexpr Code codes[] = {
    {'G', "0", Modal::motion, "rapid"},
    {'G', "1", Modal::motion, "feed"},
    {'G', "2", Modal::motion, "clockwise arc"},
    {'G', "3", Modal::motion, "counterclockwise arc"},
    {'G', "38.2", Modal::motion, "probe"},
    {'G', "80", Modal::motion, "no motion"},
    {'G', "81", Modal::motion, "canned cycle"},
    {'G', "82", Modal::motion, "canned cycle with dwell"},
    {'G', "83", Modal::motion, "peck drilling"},
    {'G', "84", Modal::motion, "tapping"},
    {'G', "85", Modal::motion, "boring"},
    {'G', "86", Modal::motion, "boring"},
    {'G', "87", Modal::motion, "back boring"},
    {'G', "88", Modal::motion, "boring"},
    {'G', "89", Modal::motion, "boring"},
    {'G', "17", Modal::plane, "XY"},
    {'G', "18", Modal::plane, "XZ"},
    {'G', "19", Modal::plane, "YZ"},
    {'G', "90", Modal::distance, "absolute"},
    {'G', "91", Modal::distance, "incremental"},
    {'G', "93", Modal::feed_mode, "inverse time"},
    {'G', "94", Modal::feed_mode, "units per minute"},
    {'G', "95", Modal::feed_mode, "units per revolution"},  // common practice, no source
    {'G', "20", Modal::units, "inch"},
    {'G', "21", Modal::units, "mm"},
    {'G', "40", Modal::compensation, "off"},
    {'G', "41", Modal::compensation, "left"},
    {'G', "42", Modal::compensation, "right"},
    {'G', "43", Modal::length, "on"},
    {'G', "49", Modal::length, "off"},
    {'G', "98", Modal::return_level, "to the starting point"},
    {'G', "99", Modal::return_level, "to R"},
    {'G', "54", Modal::system, ""},
    {'G', "55", Modal::system, ""},
    {'G', "56", Modal::system, ""},
    {'G', "57", Modal::system, ""},
    {'G', "58", Modal::system, ""},
    {'G', "59", Modal::system, ""},
    {'G', "59.1", Modal::system, ""},
    {'G', "59.2", Modal::system, ""},
    {'G', "59.3", Modal::system, ""},
    {'G', "61", Modal::path, "exact path"},
    {'G', "61.1", Modal::path, "exact stop"},
    {'G', "64", Modal::path, "continuous"},
    {'M', "0", Modal::stopping, "stop"},
    {'M', "1", Modal::stopping, "optional stop"},
    {'M', "2", Modal::stopping, "end"},
    {'M', "30", Modal::stopping, "end"},
    {'M', "60", Modal::stopping, "pallet change and stop"},
    {'M', "6", Modal::tool_change, ""},
    {'M', "3", Modal::spindle, "clockwise"},
    {'M', "4", Modal::spindle, "counterclockwise"},
    {'M', "5", Modal::spindle, "stopped"},
    {'M', "7", Modal::coolant, "mist"},
    {'M', "8", Modal::coolant, "flood"},
    {'M', "9", Modal::coolant, "off"},
    {'M', "48", Modal::overrides, "on"},
    {'M', "49", Modal::overrides, "off"},
};

const Code* find_code(const Word& word) {
  for (const Code& code : codes) {
    if (code.letter == word.letter && code.value == word.value) return &code;
  }
  return nullptr;
}

}  // namespace

Modal modal_group(const Word& word) {
  if (word.letter != 'G' && word.letter != 'M') return Modal::none;
  const Code* code = find_code(word);
  return code == nullptr ? Modal::none : code->group;
}

std::string_view code_name(const Word& word) {
  const Code* code = find_code(word);
  return code == nullptr ? "" : code->name;
}

std::string_view modal_name(Modal group) {
  constexpr std::array<std::string_view, modal_groups + 1> names = {"motion",
                                                                    "distances",
                                                                    "units",
                                                                    "coordinate system",
                                                                    "tool length offset",
                                                                    "cutter compensation",
                                                                    "plane",
                                                                    "feed mode",
                                                                    "return from cycles",
                                                                    "path",
                                                                    "spindle",
                                                                    "coolant",
                                                                    "overrides",
                                                                    "stop",
                                                                    "tool change",
                                                                    ""};
  return names[static_cast<std::size_t>(group)];
}

bool stays_in_force(Modal group) {
  return group < Modal::stopping;
}

void InForce::take(const std::vector<Word>& words) {
  for (const Word& word : words) {
    const Modal group = modal_group(word);
    if (stays_in_force(group)) codes_[static_cast<std::size_t>(group)] = word;
  }
}

}  // namespace keepway
