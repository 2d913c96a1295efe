#include "sync/repair_rewritten.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "git/commit_info.hpp"
#include "git/made_of.hpp"
#include "git/settings.hpp"
#include "git/walk.hpp"
#include "sync/move.hpp"
#include "sync/rebase_line.hpp"

namespace keepway::store {
namespace {

using LogHandle = std::unique_ptr<git_reflog, Freed<git_reflog_free>>;

CommitInfo info_at(git_repository& repo, const git_oid& id) {
  return info_of(repo, *take<CommitHandle>("read a commit", git_commit_lookup, &repo, &id));
}

// What tells a backup from all others, and goes along when Git copies its message.
std::string mark_of(const CommitInfo& info) {
  return fmt::format("{} {}", info.trailer(made_of_trailer), info.at);
}

// Every backup that is what it says, of all that refs and their logs lead to.
std::map<std::string, git_oid> true_backups(git_repository& repo) {
  const auto walk = take<WalkHandle>("walk the history", git_revwalk_new, &repo);
  const RefMap refs = refs_below(repo, "refs/");
  std::vector<std::string> names = {"HEAD"};
  for (const auto& [name, id] : refs) {
    (void)git_revwalk_push(walk.get(), &id);  // what is no commit leads to none
    names.push_back(name);
  }
  for (const std::string& name : names) {
    git_reflog* raw = nullptr;
    if (git_reflog_read(&raw, &repo, name.c_str()) != 0) continue;
    const LogHandle log(raw);
    for (std::size_t i = 0; i < git_reflog_entrycount(raw); ++i) {
      const git_reflog_entry* entry = git_reflog_entry_byindex(raw, i);
      for (const git_oid* id : {git_reflog_entry_id_new(entry), git_reflog_entry_id_old(entry)})
        (void)git_revwalk_push(walk.get(), id);
    }
  }
  std::map<std::string, git_oid> out;
  for (const git_oid& id : rest_of(*walk)) {
    const CommitInfo info = info_at(repo, id);
    if (!info.trailer(made_of_trailer).empty() && !info.rewritten) out.emplace(mark_of(info), id);
  }
  return out;
}

bool was_sent(git_repository& repo, const git_oid& commit) {
  for (const char* sent : {"refs/keepway/last-sync/", "refs/remotes/"}) {
    for (const auto& [ref, tip] : refs_below(repo, sent)) {
      if (same(tip, commit) || git_graph_descendant_of(&repo, &tip, &commit) == 1) return true;
    }
  }
  return false;
}

}  // namespace

std::optional<CommitInfo> rewritten_since(git_repository& repo, const git_oid& tip, const RefMap& there) {
  const auto walk = take<WalkHandle>("walk the history", git_revwalk_new, &repo);
  check(git_revwalk_push(walk.get(), &tip), "walk the history");
  for (const auto& [ref, id] : there) (void)git_revwalk_hide(walk.get(), &id);
  for (const git_oid& id : rest_of(*walk)) {
    CommitInfo info = info_at(repo, id);
    if (info.rewritten) return info;
  }
  return std::nullopt;
}

InOrder put_line_in_order(const std::filesystem::path& folder, const LineRules& rules) {
  Repository::open(folder).require_settled();
  const RepoHandle repo = open_repository(folder);
  const std::filesystem::path git_folder = git_repository_commondir(repo.get());
  InOrder out;
  git_oid tip{};
  check(git_reference_name_to_id(&tip, repo.get(), main_ref), "find the machine's own line");
  std::vector<CommitInfo> line;  // newest first, down to the oldest that was rewritten
  std::size_t oldest = 0;
  for (git_oid id = tip;;) {
    line.push_back(info_at(*repo, id));
    if (line.back().rewritten) oldest = line.size();
    if (line.back().parents.empty()) break;
    id = parse_oid(line.back().parents.front());
  }
  if (oldest == 0) return out;
  line.resize(oldest);
  std::reverse(line.begin(), line.end());
  const bool sent = was_sent(*repo, parse_oid(line.front().id)) || line.front().parents.empty();
  const git_oid onto = sent ? tip : parse_oid(line.front().parents.front());
  const auto sources = true_backups(*repo);
  std::vector<git_oid> to_rebase;
  for (const CommitInfo& info : line) {
    if (!info.rewritten) {
      if (!sent) to_rebase.push_back(parse_oid(info.id));
      continue;
    }
    const auto source = sources.find(mark_of(info));
    if (source != sources.end()) {
      to_rebase.push_back(source->second);
    } else {
      ++out.lost;
      out.attention.push_back(fmt::format(
          "{} ({}): the backup that it was made of is no longer here; look for it on the PC that took it in",
          info.id.substr(0, 10), printable(info.summary.substr(0, 60))));
    }
  }
  const Rebased rebased = rebase(*repo, git_folder, to_rebase, onto, already_on(*repo, onto, nullptr), rules);
  out.rebased = rebased.count;
  if (same(rebased.tip, tip)) return out;
  const auto lock = lock_soon(git_folder);
  move_ref(*repo, {fmt::format("refs/keepway/rewritten/{}", oid_text(tip).substr(0, 12)), std::nullopt, tip});
  const RefMove move{main_ref, tip, rebased.tip};
  if (head_of(*repo) == main_ref) {
    move_checked_out(*repo, folder, move);
  } else {
    move_ref(*repo, move);
  }
  return out;
}

}  // namespace keepway::store
