#include "cli/sticks.hpp"

#include <algorithm>

namespace keepway::cli {

std::vector<media::Plugged> Sticks::there() const {
  std::vector<media::Plugged> found = media::plugged_in();
  for (const std::string& path : named_) {
    const bool is_listed = std::any_of(found.begin(), found.end(),
                                       [&](const media::Plugged& each) { return each.path == path; });
    if (auto stick = media::medium_at(path); stick && !is_listed) found.push_back(std::move(*stick));
  }
  return found;
}

std::vector<std::pair<int, media::Plugged>> Sticks::list() {
  std::vector<std::pair<int, media::Plugged>> listed;
  for (media::Plugged& stick : there()) {
    const int next = static_cast<int>(numbers_.size()) + 1;
    const int number = numbers_.emplace(stick.identity, next).first->second;
    listed.emplace_back(number, std::move(stick));
  }
  return listed;
}

media::Plugged Sticks::get(int number) const {
  for (media::Plugged& stick : there()) {
    const auto known = numbers_.find(stick.identity);
    if (known != numbers_.end() && known->second == number) return std::move(stick);
  }
  throw Error(ErrorKind::usage, "that stick is not plugged in any more",
              "plug it in again, and choose it from the list");
}

}  // namespace keepway::cli
