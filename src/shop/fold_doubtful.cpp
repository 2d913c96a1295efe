#include <algorithm>
#include <utility>

#include "keepway/machine.hpp"

namespace keepway {

Folded fold_doubtful(std::vector<ItemChange> changes) {
  std::reverse(changes.begin(), changes.end());
  Folded folded;
  for (std::size_t i = 0; i < changes.size(); ++i) {
    const std::optional<std::string>& stood = changes[i].before;
    std::size_t back = i;
    while (back < changes.size() && changes[back].after != stood && !is_stood_by(changes[back].backup))
      ++back;
    const bool folds = back > i && back < changes.size() && changes[back].after == stood;
    if (folds) {
      folded.put_back.push_back(
          {std::move(changes[i].backup), std::move(changes[i].after), std::move(changes[back].backup)});
      i = back;
    } else {
      folded.changes.push_back(std::move(changes[i]));
    }
  }
  std::reverse(folded.changes.begin(), folded.changes.end());
  std::reverse(folded.put_back.begin(), folded.put_back.end());
  return folded;
}

}  // namespace keepway
