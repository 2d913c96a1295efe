#include <algorithm>

#include "keepway/text.hpp"

namespace keepway {
namespace {

// How many letters must be put in, left out, exchanged or turned round (optimal string alignment).
std::size_t distance(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> steps(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        steps[i][j] = i + j;
        continue;
      }
      const std::size_t exchanged = steps[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0U : 1U);
      steps[i][j] = std::min({steps[i - 1][j] + 1, steps[i][j - 1] + 1, exchanged});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        steps[i][j] = std::min(steps[i][j], steps[i - 2][j - 2] + 1);
    }
  }
  return steps[a.size()][b.size()];
}

}  // namespace

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return out;
}

std::string upper(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(),
                 [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; });
  return out;
}

std::string nearest_word(std::string_view word, const std::vector<std::string>& known) {
  constexpr std::size_t longest = 40;  // the work is the square of it
  if (word.size() > longest) return {};
  std::size_t least = word.size() < 5 ? 2 : 3;
  std::string found;
  for (const std::string& each : known) {
    if (each.size() > longest) continue;
    const std::size_t far = distance(word, each);
    if (far >= least) continue;
    least = far;
    found = each;
  }
  return found;
}

}  // namespace keepway
