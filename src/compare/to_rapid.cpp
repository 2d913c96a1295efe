#include "compare/to_rapid.hpp"

#include <algorithm>
#include <string>
#include <string_view>
#include <unordered_map>

namespace keepway {
namespace {

constexpr std::string_view axes = "XYZUVWABC";

bool is_axis(const Word& word) {
  return axes.find(word.letter) != std::string_view::npos;
}

// Where a block goes: its words along axes, with their values or their letters alone.
std::string target(const std::vector<Word>& words, bool values) {
  std::string out;
  for (const Word& word : words) {
    if (!is_axis(word)) continue;
    out += word.letter;
    if (values) out += word.value;
  }
  return out;
}

// The motion in force in each block of a side; a Word without letter for a block that moves nothing.
std::vector<Word> motions(const MovingSide& side) {
  InForce force = side.force;
  std::vector<Word> out;
  out.reserve(side.blocks.size());
  for (const std::vector<Word>& words : side.blocks) {
    force.take(words);
    out.push_back(is_move(words) ? force.code(Modal::motion) : Word());
  }
  return out;
}

}  // namespace

bool is_feed(const Word& motion) {
  return motion.letter == 'G' && (motion.value == "1" || motion.value == "2" || motion.value == "3");
}

bool is_rapid(const Word& motion) {
  return motion.letter == 'G' && motion.value == "0";
}

bool has_axis(const std::vector<Word>& words) {
  return std::any_of(words.begin(), words.end(), is_axis);
}

bool is_move(const std::vector<Word>& words) {
  // G4, G10, G28, G30 and G92 take the words of axes for what they do (NISTIR 6556, 3.5); G65 and G66 give
  // them to another program, and G52 shifts the zero point (common practice, no source).
  const auto takes_them = [](const Word& word) {
    return word.letter == 'G' &&
           (word.value == "4" || word.value == "10" || word.value == "28" || word.value == "30" ||
            word.value == "52" || word.value == "65" || word.value == "66" || word.value.starts_with("92"));
  };
  return has_axis(words) && std::none_of(words.begin(), words.end(), takes_them);
}

std::vector<std::pair<std::size_t, std::size_t>> to_rapid(const MovingSide& before, const MovingSide& after) {
  const std::vector<Word> was = motions(before);
  const std::vector<Word> is = motions(after);
  std::vector<std::pair<std::size_t, std::size_t>> out;
  const bool beside = was.size() == is.size();
  std::unordered_map<std::string, std::size_t> cutting;  // by where they go
  for (std::size_t i = 0; i < was.size() && !beside; ++i) {
    if (is_feed(was[i])) cutting.emplace(target(before.blocks[i], true), i);
  }
  for (std::size_t i = 0; i < is.size(); ++i) {
    if (!is_rapid(is[i])) continue;
    if (!beside) {
      const auto found = cutting.find(target(after.blocks[i], true));
      if (found != cutting.end()) out.emplace_back(found->second, i);
    } else if (is_feed(was[i]) && target(before.blocks[i], false) == target(after.blocks[i], false)) {
      out.emplace_back(i, i);
    }
  }
  return out;
}

}  // namespace keepway
