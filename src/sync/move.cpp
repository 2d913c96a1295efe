#include "sync/move.hpp"

#include <fmt/format.h>

#include "keepway/text.hpp"
#include "store/worktree.hpp"

namespace keepway::store {

std::string head_of(git_repository& repo) {
  const auto head = take<RefHandle>("read HEAD", git_reference_lookup, &repo, "HEAD");
  const char* name = git_reference_symbolic_target(head.get());
  return name == nullptr ? "" : name;
}

namespace {

Error moved_meanwhile(const std::string& ref) {
  return {ErrorKind::store, fmt::format("{} was moved by another program meanwhile", printable(ref)),
          "run the command again"};
}

}  // namespace

void move_ref(git_repository& repo, const RefMove& move) {
  git_oid present{};
  const int found = git_reference_name_to_id(&present, &repo, move.ref.c_str());
  if (found != GIT_ENOTFOUND) check(found, "read " + move.ref);
  const bool there = found == 0;
  if (there && move.to && same(present, *move.to)) return;
  if (there != move.from.has_value() || (there && !same(present, *move.from)))
    throw moved_meanwhile(move.ref);
  if (move.to) return set_ref(repo, move.ref, *move.to, move.from);
  const auto ref = take<RefHandle>("find " + move.ref, git_reference_lookup, &repo, move.ref.c_str());
  check(git_reference_delete(ref.get()), "remove " + move.ref);  // where it still is as it was looked up
}

void set_ref(git_repository& repo, const std::string& ref, const git_oid& to,
             const std::optional<git_oid>& from) {
  git_reference* raw = nullptr;
  const int code =
      from ? git_reference_create_matching(&raw, &repo, ref.c_str(), &to, 1, &*from, "keepway: sync")
           : git_reference_create(&raw, &repo, ref.c_str(), &to, 1, "keepway: sync");
  const RefHandle moved(raw);
  if (code == GIT_EMODIFIED) throw moved_meanwhile(ref);
  check(code, "move " + ref);
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

void leave_for(git_repository& repo, const std::filesystem::path& folder, const std::string& from,
               const std::string& to) {
  git_oid before{};
  git_oid after{};
  check(git_reference_name_to_id(&before, &repo, from.c_str()), "read " + from);
  check(git_reference_name_to_id(&after, &repo, to.c_str()), "read " + to);
  WorkTree work_tree(repo, folder);
  work_tree.require_untouched(before, after);
  work_tree.set_pending({before, {}});
  check(git_repository_set_head(&repo, to.c_str()), "go to " + to);
  work_tree.bring(before, after, {}, {});
  work_tree.clear_pending();
}

}  // namespace keepway::store
