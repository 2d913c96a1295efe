#include <fmt/format.h>

#include <map>
#include <utility>

#include "verdict/known.hpp"

namespace keepway::verdict {
namespace {

// What the readers found may be in every line of a file, and is recognised by the file.
constexpr std::size_t most_in_a_file = 3;
constexpr std::size_t most_of_a_code = 20;

}  // namespace

void shorten(Reasons& reasons) {
  std::map<std::pair<std::string, std::string>, std::size_t> times_of;  // a code, in a file or anywhere
  Reasons kept;
  Reasons rest;  // the first left out of each, in place of all of them
  std::vector<std::pair<std::string, std::string>> left;
  for (Reason& reason : reasons) {
    const std::string file = reason.of_reader ? reason.place.file : std::string();
    const std::size_t most = reason.of_reader ? most_in_a_file : most_of_a_code;
    const std::size_t times = ++times_of[{reason.code, file}];
    if (times <= most) {
      kept.push_back(std::move(reason));
    } else if (times == most + 1) {
      left.emplace_back(reason.code, file);
      rest.push_back(std::move(reason));
    }
  }
  for (std::size_t i = 0; i < rest.size(); ++i) {
    Reason& reason = rest[i];
    const std::size_t most = reason.of_reader ? most_in_a_file : most_of_a_code;
    reason.what =
        fmt::format("{} more of this kind, beginning with: {}", times_of[left[i]] - most, reason.what);
    kept.push_back(std::move(reason));
  }
  reasons = std::move(kept);
}

}  // namespace keepway::verdict
