// What another Git program has begun in the work tree and not ended.
#include <fmt/format.h>

#include "store/impl.hpp"

namespace keepway::store {
namespace {

struct Unfinished {
  const char* what = nullptr;
  const char* go_on = nullptr;
  const char* take_back = nullptr;
};

Unfinished unfinished(git_repository& repo) {
  switch (git_repository_state(&repo)) {
    case GIT_REPOSITORY_STATE_MERGE:
      return {"a merge", "git commit", "git merge --abort"};
    case GIT_REPOSITORY_STATE_REVERT:
    case GIT_REPOSITORY_STATE_REVERT_SEQUENCE:
      return {"a revert", "git revert --continue", "git revert --abort"};
    case GIT_REPOSITORY_STATE_CHERRYPICK:
    case GIT_REPOSITORY_STATE_CHERRYPICK_SEQUENCE:
      return {"a cherry-pick", "git cherry-pick --continue", "git cherry-pick --abort"};
    case GIT_REPOSITORY_STATE_BISECT:
      return {"a bisection", "git bisect good, or bad", "git bisect reset"};
    case GIT_REPOSITORY_STATE_REBASE:
    case GIT_REPOSITORY_STATE_REBASE_INTERACTIVE:
    case GIT_REPOSITORY_STATE_REBASE_MERGE:
      return {"a rebase", "git rebase --continue", "git rebase --abort"};
    case GIT_REPOSITORY_STATE_APPLY_MAILBOX:
    case GIT_REPOSITORY_STATE_APPLY_MAILBOX_OR_REBASE:
      return {"a patch series", "git am --continue", "git am --abort"};
    default:
      return {};
  }
}

}  // namespace

void Repository::require_settled() const {
  const Unfinished found = unfinished(*impl_->repo);
  if (found.what == nullptr) return;
  throw Error(ErrorKind::refused,
              fmt::format("{} is unfinished in {}, and what is stored now would become part of it",
                          found.what, printable(impl_->folder.string())),
              fmt::format("finish it there first ('{}'), or undo it ('{}')", found.go_on, found.take_back));
}

}  // namespace keepway::store
