// Rows as texts, numbers and signs, and those of them that are written alike.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "survey/survey_parts.hpp"

namespace keepway::layout {

struct Token {
  enum class Kind : unsigned char { number, text, sign };
  Kind kind = Kind::sign;
  std::string text;
  bool apart = false;   // a blank is in front
  bool joined = false;  // a text right behind a number
};
using Tokens = std::vector<Token>;

struct Together {
  std::vector<Tokens> rows;
  std::set<std::size_t> lengths;  // of their lines
};
using BySkeleton = std::map<std::string, Together>;

// Rows by the order of their texts, numbers and signs; `lines` becomes how many there are. A number comes
// first where some rows of a kind have a word in its place.
BySkeleton rows_alike(const Sample& sample, std::size_t& lines);

}  // namespace keepway::layout
