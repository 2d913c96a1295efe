#include "sync/move.hpp"

#include "store/worktree.hpp"

namespace keepway::store {

std::string head_of(git_repository& repo) {
  const auto head = take<RefHandle>("read HEAD", git_reference_lookup, &repo, "HEAD");
  const char* name = git_reference_symbolic_target(head.get());
  return name == nullptr ? "" : name;
}

void move_ref(git_repository& repo, const RefMove& move) {
  if (!move.to) {
    const auto ref = take<RefHandle>("find " + move.ref, git_reference_lookup, &repo, move.ref.c_str());
    check(git_reference_delete(ref.get()), "remove " + move.ref);
    return;
  }
  git_reference* raw = nullptr;
  const int code = move.from
                       ? git_reference_create_matching(&raw, &repo, move.ref.c_str(), &*move.to, 1,
                                                       &*move.from, "keepway: sync")
                       : git_reference_create(&raw, &repo, move.ref.c_str(), &*move.to, 1, "keepway: sync");
  const RefHandle moved(raw);
  check(code, "move " + move.ref);
}

void move_checked_out(git_repository& repo, const std::filesystem::path& folder, const RefMove& move) {
  WorkTree work_tree(repo, folder);
  work_tree.require_untouched(move.from, *move.to);
  const std::vector<std::string> folders = {"state/", "originals/"};
  work_tree.set_pending({move.from, folders});
  move_ref(repo, move);
  work_tree.bring(move.from, *move.to, folders, {});
  work_tree.clear_pending();
}

}  // namespace keepway::store
