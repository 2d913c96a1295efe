// What makes a commit fit to be taken in from elsewhere: the one check of a server's hook and of sync.
#pragma once

#include <functional>
#include <set>
#include <string>
#include <vector>

#include "git_hooks/tree_check.hpp"
#include "keepway/hooks.hpp"
#include "store/repository_view.hpp"

namespace keepway {

class IncomingCheck {
 public:
  explicit IncomingCheck(const store::RepositoryView& view) : view_(view), tree_check_(view) {}

  // Commits come parents first; one that was looked at before is not looked at again. Stops where there are
  // max_faults.
  void look_at(const store::Oid& commit);

  void refuse(const std::string& where, const std::string& what);
  [[nodiscard]] bool full() const { return faults_.size() >= max_faults; }
  std::vector<Fault> take_faults() { return std::move(faults_); }

 private:
  void check_trailers(const std::string& name, const store::CommitInfo& info, const Entries& now);

  const store::RepositoryView& view_;
  TreeCheck tree_check_;
  std::vector<Fault> faults_;
  std::set<store::Oid> checked_;
  store::Oid last_id_;  // commits come parents first, so the last tree is mostly the next one's parent
  Entries last_;
  std::string digest_;
  Entries digest_of_;
};

// What is wrong with commits that come from elsewhere, parents first; `tick` is called with how many have
// been looked at.
std::vector<Fault> check_commits(const store::RepositoryView& view, const std::vector<store::Oid>& commits,
                                 const std::function<void(std::size_t done, std::size_t total)>& tick);

}  // namespace keepway
