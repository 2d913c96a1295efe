#include "sync/check_received.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "git/form.hpp"
#include "git/walk.hpp"

namespace keepway::store {
namespace {

[[noreturn]] void refuse(const std::string& shown_url, const std::string& what) {
  throw Error(ErrorKind::refused,
              fmt::format("what {} sent is refused, and nothing was joined: {}", shown_url, what),
              "ask whoever keeps that repository who put it there; nothing here has changed");
}

std::string name_of(const git_oid& id) {
  return fmt::format("commit {}", oid_text(id).substr(0, 10));
}

std::string place_of(const std::string& commit, const Harm& harm) {
  return harm.path.empty() ? fmt::format("{}: {}", commit, harm.what)
                           : fmt::format("{}: '{}': {}", commit, harm.path, harm.what);
}

// Commits that come, parents first.
std::vector<git_oid> new_commits(git_repository& repo, const RefMap& there, const RefMap& here) {
  const auto walk = take<WalkHandle>("walk the history", git_revwalk_new, &repo);
  git_revwalk_sorting(walk.get(), GIT_SORT_TOPOLOGICAL | GIT_SORT_REVERSE);
  for (const auto& [ref, id] : there)
    check(git_revwalk_push(walk.get(), &id), "walk the history of " + printable(ref));
  // A mark of something else, that somebody set here, hides nothing.
  for (const auto& [ref, id] : here) (void)git_revwalk_hide(walk.get(), &id);
  return rest_of(*walk);
}

void require_one_root(git_repository& repo, const std::vector<git_oid>& commits, bool first_of_all,
                      const std::string& shown_url) {
  for (const git_oid& id : commits) {
    const auto commit = take<CommitHandle>("read a commit", git_commit_lookup, &repo, &id);
    if (git_commit_parentcount(commit.get()) > 0) continue;
    if (std::exchange(first_of_all, false)) continue;
    throw Error(
        ErrorKind::refused,
        fmt::format("{} holds another history, with no commit in common with this one (it begins with {})",
                    shown_url, name_of(id)),
        "give each machine a remote of its own; a machine that is already on the remote is copied here with "
        "'keepway sync NAME --to URL', not enrolled a second time");
  }
}

}  // namespace

void require_names(const RefMap& there, const RefMap& here, const std::string& shown_url) {
  if (there.size() > max_refs) refuse(shown_url, fmt::format("it has more than {} refs", max_refs));
  std::set<std::string> all;
  for (const auto& [ref, id] : here) all.insert(ref);
  for (const auto& [ref, id] : there) {
    if (const char* harm = harm_in_ref(ref))
      refuse(shown_url, fmt::format("the ref '{}': {}", printable(ref.substr(0, 200)), harm));
    all.insert(ref);
  }
  for (const std::string& ref : all) {
    const auto below = all.lower_bound(ref + '/');
    if (below == all.end() || !below->starts_with(ref + '/')) continue;
    throw Error(ErrorKind::refused,
                fmt::format("{} and {} cannot exist side by side, here and on {}", ref_title(ref),
                            ref_title(*below), shown_url),
                "drop or rename one of the two");
  }
}

std::vector<std::string> require_harmless(git_repository& repo, const RefMap& there, const RefMap& here,
                                          const std::string& shown_url, const ReceiveRules& rules) {
  FormCheck form(repo);
  for (const auto& [ref, id] : there) {
    const auto known = here.find(ref);
    if (known != here.end() && git_oid_equal(&known->second, &id) != 0) continue;
    const auto harm = ref.starts_with(marks_prefix) ? form.tag(id) : form.commit(id);
    if (harm) refuse(shown_url, place_of(fmt::format("{} ({})", ref_title(ref), name_of(id)), *harm));
  }
  std::vector<git_oid> commits;
  try {
    commits = new_commits(repo, there, here);
  } catch (const Error& error) {
    refuse(shown_url, error.what());
  }
  const auto tick = [&](std::size_t done, std::size_t total) {
    if (rules.progress) rules.progress({"checking", done, total, 0});
  };
  for (const git_oid& id : commits) {
    if (const auto harm = form.commit(id)) refuse(shown_url, place_of(name_of(id), *harm));
  }
  require_one_root(repo, commits, here.empty(), shown_url);
  if (commits.empty()) return {};
  if (rules.accept) {
    return {
        fmt::format("{} commit(s) taken with --accept, without checking what is in them", commits.size())};
  }
  std::vector<Oid> ids;
  ids.reserve(commits.size());
  for (const git_oid& id : commits) ids.push_back(oid_text(id));
  const auto faults = rules.faults ? rules.faults(repo, ids, tick) : std::vector<std::string>();
  if (faults.empty()) return {};
  throw Error(ErrorKind::refused,
              fmt::format("what {} sent is refused, and nothing was joined: {}{}", shown_url, faults.front(),
                          faults.size() > 1 ? fmt::format(" (and {} more)", faults.size() - 1) : ""),
              "ask who sent it; an older repository is taken as it is with: keepway sync MACHINE --accept");
}

}  // namespace keepway::store
