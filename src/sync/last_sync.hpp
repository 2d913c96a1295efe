// Where both sides' refs were when a sync last ended: what tells a trial that was ended, or a mark that was
// removed, from one that is new.
//
// Motivation: Git's own remote-tracking refs move with each `git fetch` and come with each `git clone`, so
// they say nothing of what keepway has brought here. This memory is keepway's own refs, one set a remote's
// address, written at the end of a sync and by nothing else; it holds the commits, too.
#pragma once

#include <string>

#include "sync/plan_refs.hpp"

namespace keepway::store {

class LastSync {
 public:
  LastSync(git_repository& repo, const std::string& url);
  // By their names there; of the line, trials and marks.
  [[nodiscard]] RefMap refs() const;
  // What the sides do not agree on stays as it was. For one who holds the lock.
  void set(const RefMap& there, const RefMap& here) const;

 private:
  git_repository* repo_;
  std::string prefix_;
};

}  // namespace keepway::store
