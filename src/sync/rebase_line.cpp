#include "sync/rebase_line.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>

#include "git/commit_info.hpp"
#include "git/made_of.hpp"
#include "git/message.hpp"
#include "git/pack_by_path.hpp"
#include "git/tree.hpp"
#include "git/walk.hpp"
#include "sync/rebase_tree.hpp"

namespace keepway::store {
namespace {

// Names the commit that a rebased one stands for, so that a sync cut off after its push finds it again.
constexpr const char* rebased_from = "Keepway-Laid-From";
std::vector<git_oid> commits(git_repository& repo, const git_oid& tip, const git_oid* without) {
  const auto walk = take<WalkHandle>("walk the history", git_revwalk_new, &repo);
  git_revwalk_sorting(walk.get(), GIT_SORT_TOPOLOGICAL);
  check(git_revwalk_push(walk.get(), &tip), "walk the history");
  if (without != nullptr) check(git_revwalk_hide(walk.get(), without), "walk the history");
  return rest_of(*walk);
}

CommitHandle commit_at(git_repository& repo, const git_oid& id) {
  return take<CommitHandle>("read a commit", git_commit_lookup, &repo, &id);
}

// A word on a backup: it changes no file, and is rebased all the same.
bool is_amendment(const CommitInfo& info) {
  return !info.trailer("Keepway-Withdraws").empty() || !info.trailer("Keepway-Corrects").empty();
}

// A line of the commit's header, "author …", with its line end.
std::string header_line(const git_commit& commit, std::string_view name) {
  const std::string_view header = git_commit_raw_header(&commit);
  std::size_t at = header.starts_with(name) ? 0 : header.find("\n" + std::string(name));
  if (at == std::string_view::npos) {
    throw Error(ErrorKind::store, fmt::format("a commit has no {}", name),
                "run `git fsck` in the machine's folder");
  }
  if (header[at] == '\n') ++at;
  return std::string(header.substr(at, header.find('\n', at) - at)) + "\n";
}

git_oid write_commit(git_repository& repo, const git_commit& old, const git_oid& tree, const git_oid& onto,
                     NewCommit message) {
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, &repo);
  const auto root = take<OdbObjectHandle>("read a tree", git_odb_read, odb.get(), &tree);
  say_made_of(message, onto,
              {static_cast<const char*>(git_odb_object_data(root.get())), git_odb_object_size(root.get())});
  std::string bytes = fmt::format("tree {}\nparent {}\n", oid_text(tree), oid_text(onto));
  for (unsigned i = 1; i < git_commit_parentcount(&old); ++i) {
    bytes += fmt::format("parent {}\n", oid_text(*git_commit_parent_id(&old, i)));
  }
  // A merge put its state together from its parents', so the one that it was made on stays with it.
  if (git_commit_parentcount(&old) > 1) bytes += fmt::format("parent {}\n", oid_text(*git_commit_id(&old)));
  bytes += header_line(old, "author ") + header_line(old, "committer ") + "\n" + write_message(message);
  git_oid id{};
  check(git_odb_write(&id, odb.get(), bytes.data(), bytes.size(), GIT_OBJECT_COMMIT), "write a commit");
  return id;
}

void add_tree(git_repository& repo, const git_oid& tree, Ids& ids) {
  for (const TreeEntry& entry : list_files(repo, tree, "", &ids)) ids.insert(entry.id);
}

// Puts what rebased commits have, and the commit below them does not, into one pack that Git leaves alone.
PackHold hold(git_repository& repo, const std::filesystem::path& git_folder, const git_oid& onto,
              const std::vector<git_oid>& made) {
  Ids there;
  add_tree(repo, *git_commit_tree_id(commit_at(repo, onto).get()), there);
  Ids fresh;
  for (const git_oid& id : made) {
    fresh.insert(id);
    add_tree(repo, *git_commit_tree_id(commit_at(repo, id).get()), fresh);
  }
  std::erase_if(fresh, [&](const git_oid& id) { return there.contains(id); });
  PackHold held;
  if (!fresh.empty()) pack_by_path(repo, git_folder / "objects" / "pack", fresh, Compression::fast, &held);
  return held;
}

// Ours on the line's own way back, oldest first; in order of date unless the owner's files changed among
// them, for those edits build on each other.
std::vector<git_oid> in_order(git_repository& repo, const git_oid& ours, const git_oid& theirs) {
  const auto all = commits(repo, ours, &theirs);
  const std::set<git_oid, OidLess> unpublished(all.begin(), all.end());
  std::vector<git_oid> line;
  for (git_oid id = ours; unpublished.contains(id);) {
    line.push_back(id);
    const CommitHandle commit = commit_at(repo, id);
    if (git_commit_parentcount(commit.get()) == 0) {
      throw Error(ErrorKind::refused,
                  "the remote holds another history, with no commit in common with this one",
                  "give each machine a remote of its own; a machine that is already on the remote is copied "
                  "here with 'keepway sync NAME --to URL', not enrolled a second time");
    }
    id = *git_commit_parent_id(commit.get(), 0);
  }
  std::reverse(line.begin(), line.end());
  const bool all_backups = std::all_of(line.begin(), line.end(), [&](const git_oid& id) {
    return is_backup(info_of(repo, *commit_at(repo, id)));
  });
  if (all_backups) {
    std::stable_sort(line.begin(), line.end(), [&](const git_oid& a, const git_oid& b) {
      return git_commit_author(commit_at(repo, a).get())->when.time <
             git_commit_author(commit_at(repo, b).get())->when.time;
    });
  }
  return line;
}

std::string number_of(git_repository& repo, const Oid& commit) {
  return std::string(info_of(repo, *commit_at(repo, parse_oid(commit))).trailer(backup_trailer));
}

// People call a backup by its number, which another on the line may have now.
void say_renumbered(Rebased& rebased, const CommitInfo& info, const std::string& now) {
  const std::string was(info.trailer(backup_trailer));
  if (!was.empty() && was != "0" && was != now) rebased.renumbered.emplace_back(was, now);
}

}  // namespace

std::size_t count_commits(git_repository& repo, const git_oid& tip, const git_oid* without) {
  return commits(repo, tip, without).size();
}

AlreadyThere already_on(git_repository& repo, const git_oid& tip, const git_oid* without) {
  AlreadyThere there;
  const auto fresh = commits(repo, tip, without);
  const std::set<git_oid, OidLess> of_theirs(fresh.begin(), fresh.end());
  for (git_oid id = tip; of_theirs.contains(id);) {
    const CommitHandle commit = commit_at(repo, id);
    const CommitInfo info = info_of(repo, *commit);
    if (const auto from = info.trailer(rebased_from); !from.empty())
      there.rebased_before[std::string(from)] = info.id;
    if (is_backup(info)) there.received[{std::string(info.trailer("Keepway-Digest")), info.at}] = info.id;
    if (git_commit_parentcount(commit.get()) == 0) break;
    id = *git_commit_parent_id(commit.get(), 0);
  }
  return there;
}

Rebased rebase(git_repository& repo, const std::filesystem::path& git_folder,
               const std::vector<git_oid>& line, const git_oid& onto, const AlreadyThere& there,
               const LineRules& rules) {
  Rebased out;
  out.tip = onto;
  std::vector<git_oid> made;
  for (const git_oid& id : line) {
    const CommitHandle commit = commit_at(repo, id);
    const CommitInfo info = info_of(repo, *commit);
    const bool backup = is_backup(info);
    const auto before = there.rebased_before.find(info.id);
    const auto twin = there.received.find({std::string(info.trailer("Keepway-Digest")), info.at});
    if (before != there.rebased_before.end()) {
      out.now[info.id] = before->second;
      say_renumbered(out, info, number_of(repo, before->second));
      continue;
    }
    if (backup && twin != there.received.end()) {
      out.now[info.id] = twin->second;
      say_renumbered(out, info, number_of(repo, twin->second));
      ++out.twice;
      continue;
    }
    const git_oid below = *git_commit_tree_id(commit_at(repo, out.tip).get());
    const git_oid tree = rebased_tree(repo, git_folder, rules, *commit, below);
    if (!backup && same(tree, below) && !is_amendment(info)) {  // the same edit was made on both sides
      out.now[info.id] = oid_text(out.tip);
      continue;
    }
    NewCommit message;
    if (backup) {
      message = rules.message(info, oid_text(out.tip));
      for (const auto& [name, value] : message.trailers) {
        if (name == backup_trailer) say_renumbered(out, info, value);
      }
    } else {
      message.summary = info.summary;
      message.body = info.body;
      message.trailers = info.trailers;
    }
    for (auto& [name, value] : message.trailers) {
      if (name == "Keepway-Confirms" && out.now.contains(value)) value = out.now[value];
    }
    message.trailers.emplace_back(rebased_from, info.id);
    out.tip = write_commit(repo, *commit, tree, out.tip, message);
    out.now[info.id] = oid_text(out.tip);
    made.push_back(out.tip);
    ++out.count;
  }
  out.hold = hold(repo, git_folder, onto, made);
  return out;
}

Rebased rebase_onto(git_repository& repo, const std::filesystem::path& git_folder, const git_oid& ours,
                    const git_oid& theirs, const LineRules& rules) {
  const AlreadyThere there = already_on(repo, theirs, &ours);
  return rebase(repo, git_folder, in_order(repo, ours, theirs), theirs, there, rules);
}

}  // namespace keepway::store
