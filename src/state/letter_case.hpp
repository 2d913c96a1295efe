// Letters without their case, where names differ for people and not for a disk. ASCII alone.
#pragma once

#include <algorithm>
#include <string>
#include <string_view>

namespace keepway {

inline std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return out;
}

}  // namespace keepway
