#include "cli/losses.hpp"

#include <algorithm>

#include "keepway/text.hpp"

namespace keepway::cli {

bool Losses::add(const store::Repository::Loss& loss) {
  // A server runs for months: what is more is said no more.
  constexpr std::size_t most = 10'000;
  const std::string machine = escape(loss.folder.filename().string());
  const std::lock_guard guard(mutex_);
  const auto known = std::find_if(all_.begin(), all_.end(), [&](const show::Lost& each) {
    return each.machine == machine && each.what == loss.what;
  });
  if (known == all_.end()) {
    if (all_.size() < most) all_.push_back({machine, loss.what, loss.backups});
    return all_.size() < most;
  }
  for (const std::string& name : loss.backups) {
    if (std::find(known->backups.begin(), known->backups.end(), name) == known->backups.end())
      known->backups.push_back(name);
  }
  return false;
}

std::vector<show::Lost> Losses::list() const {
  const std::lock_guard guard(mutex_);
  return all_;
}

}  // namespace keepway::cli
