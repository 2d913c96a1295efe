#include "sync/rebase_line.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>
#include <set>

#include "git/commit_info.hpp"
#include "git/known_blobs.hpp"
#include "git/made_of.hpp"
#include "git/message.hpp"
#include "git/objects.hpp"
#include "git/pack_by_path.hpp"
#include "git/read_object.hpp"
#include "git/tree.hpp"
#include "git/walk.hpp"
#include "shop/clashes.hpp"

namespace keepway::store {
namespace {

using BuilderHandle = std::unique_ptr<git_treebuilder, Freed<git_treebuilder_free>>;

// Names the commit that a rebased one stands for, so that a sync cut off after its push finds it again.
constexpr const char* rebased_from = "Keepway-Laid-From";
// Files whose rows or keys are joined one by one.
constexpr std::array<const char*, 3> joined_files = {"namebook.tsv", "machine.toml", "reasons.tsv"};
// The folders of a tree that an intake makes; all else is the owner's.
constexpr std::array<const char*, 2> intake_folders = {"state", "originals"};

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

bool is_backup(const CommitInfo& info) {
  return !info.trailer(backup_trailer).empty() && !info.rewritten;
}

// A word on a backup: it changes no file, and is rebased all the same.
bool is_amendment(const CommitInfo& info) {
  return !info.trailer("Keepway-Withdraws").empty() || !info.trailer("Keepway-Corrects").empty();
}

bool is_kept(const CommitInfo& info) {
  return !info.trailer("Keepway-Kept").empty();
}

bool is_noted(const std::vector<EditClash>& clashes, const EditClash& clash) {
  return std::any_of(clashes.begin(), clashes.end(),
                     [&](const EditClash& each) { return each.file == clash.file && each.key == clash.key; });
}

std::optional<std::string> said_of(const EditClash& clash, const std::string& text) {
  try {
    return said_in(clash.file, text, clash.key);
  } catch (const Error&) {  // a file that cannot be read says nothing
    return std::nullopt;
  }
}

class Layer {
 public:
  Layer(git_repository& repo, std::filesystem::path git_folder, const LineRules& rules)
      : repo_(repo), git_folder_(std::move(git_folder)), rules_(rules) {}

  // The tree of `commit` on top of the tree `onto`.
  git_oid tree_of(const git_commit& commit, const CommitInfo& info, const git_oid& onto) {
    const bool backup = is_backup(info);
    const git_oid mine = *git_commit_tree_id(&commit);
    git_oid before = empty_tree();
    if (git_commit_parentcount(&commit) > 0) {
      before = *git_commit_tree_id(commit_at(repo_, *git_commit_parent_id(&commit, 0)).get());
    }
    const git_oid my_owner = owner_part(mine);
    const git_oid owner = merge_owner(owner_part(before), owner_part(onto), my_owner);
    const bool intake_untouched =
        std::all_of(intake_folders.begin(), intake_folders.end(), [&](const char* name) {
          return same(entry(mine, name).value_or(git_oid{}), entry(before, name).value_or(git_oid{}));
        });
    const git_oid& source = backup || !intake_untouched ? mine : onto;
    if (same(owner, owner_part(source))) return source;
    const git_oid whole = with_intake_folders(owner, source);
    const bool other_layout = !same(entry(owner, "layout.toml").value_or(git_oid{}),
                                    entry(my_owner, "layout.toml").value_or(git_oid{})) ||
                              !same(entry(owner, "machine.toml").value_or(git_oid{}),
                                    entry(my_owner, "machine.toml").value_or(git_oid{}));
    // The state of a kept trial was put together from two, so it follows from no originals.
    return backup && !is_kept(info) && other_layout ? read_again(whole) : whole;
  }

 private:
  git_oid empty_tree() {
    const auto builder = take<BuilderHandle>("make a tree", git_treebuilder_new, &repo_,
                                             static_cast<const git_tree*>(nullptr));
    git_oid id{};
    check(git_treebuilder_write(&id, builder.get()), "write a tree");
    return id;
  }

  TreeHandle tree(const git_oid& id) { return take<TreeHandle>("read a tree", git_tree_lookup, &repo_, &id); }

  std::optional<git_oid> entry(const git_oid& id, const char* name) {
    const TreeHandle handle = tree(id);
    const git_tree_entry* found = git_tree_entry_byname(handle.get(), name);
    return found == nullptr ? std::nullopt : std::optional(*git_tree_entry_id(found));
  }

  std::string text(const git_oid& root, const char* name) {
    const auto id = entry(root, name);
    return id ? blob(*id) : std::string();
  }

  std::string blob(const git_oid& id) { return read_object(repo_, id, "read a file").bytes; }

  git_oid owner_part(const git_oid& root) {
    const TreeHandle handle = tree(root);
    const auto builder = take<BuilderHandle>("make a tree", git_treebuilder_new, &repo_,
                                             static_cast<const git_tree*>(handle.get()));
    for (const char* name : intake_folders) {
      if (git_treebuilder_get(builder.get(), name) != nullptr) {
        check(git_treebuilder_remove(builder.get(), name), "make a tree");
      }
    }
    git_oid id{};
    check(git_treebuilder_write(&id, builder.get()), "write a tree");
    return id;
  }

  git_oid with_intake_folders(const git_oid& owner, const git_oid& source) {
    const TreeHandle base = tree(owner);
    const TreeHandle from = tree(source);
    const auto builder = take<BuilderHandle>("make a tree", git_treebuilder_new, &repo_,
                                             static_cast<const git_tree*>(base.get()));
    for (const char* name : intake_folders) {
      const git_tree_entry* found = git_tree_entry_byname(from.get(), name);
      if (found == nullptr) continue;
      check(git_treebuilder_insert(nullptr, builder.get(), name, git_tree_entry_id(found),
                                   git_tree_entry_filemode(found)),
            "make a tree");
    }
    git_oid id{};
    check(git_treebuilder_write(&id, builder.get()), "write a tree");
    return id;
  }

  // Three-way: rows and keys one by one where a file has them, else lines. Where both changed the same, the
  // commit being rebased is the later word on the line, so its edit is kept; the other is noted in
  // clashes.tsv.
  git_oid merge_owner(const git_oid& base, const git_oid& onto, const git_oid& mine) {
    if (same(mine, onto) || same(mine, base)) return onto;
    if (same(onto, base)) return mine;
    const TreeHandle b = tree(base);
    const TreeHandle o = tree(onto);
    const TreeHandle m = tree(mine);
    const auto index = take<IndexHandle>(
        "merge the owner's files", git_merge_trees, &repo_, static_cast<const git_tree*>(b.get()),
        static_cast<const git_tree*>(o.get()), static_cast<const git_tree*>(m.get()),
        static_cast<const git_merge_options*>(nullptr));
    std::set<std::string> clashing;
    for (std::size_t i = 0; i < git_index_entrycount(index.get()); ++i) {
      const git_index_entry* at = git_index_get_byindex(index.get(), i);
      if (git_index_entry_stage(at) > 0) clashing.insert(at->path);
    }
    std::vector<EditClash> clashes;
    for (const char* path : joined_files) {
      auto joined = join(path, base, onto, mine);
      if (!joined) continue;
      put(*index, path, joined->text);
      clashing.erase(path);
      clashes.insert(clashes.end(), joined->clashes.begin(), joined->clashes.end());
    }
    clashing.erase(std::string(clashes_path));
    for (const std::string& path : clashing) {
      const git_tree_entry* kept = git_tree_entry_byname(m.get(), path.c_str());
      const git_tree_entry* other = git_tree_entry_byname(o.get(), path.c_str());
      (void)git_index_conflict_remove(index.get(), path.c_str());
      if (kept != nullptr) put(*index, path, *git_tree_entry_id(kept));
      const auto id_of = [](const git_tree_entry* at) {
        return at == nullptr ? "" : oid_text(*git_tree_entry_id(at));
      };
      clashes.push_back({path, "", id_of(kept), id_of(other)});
    }
    note(*index, base, onto, mine, std::move(clashes));
    git_oid id{};
    check(git_index_write_tree_to(&id, index.get(), &repo_), "write a tree");
    return id;
  }

  void put(git_index& index, const std::string& path, const git_oid& id) {
    (void)git_index_conflict_remove(&index, path.c_str());  // if it was one
    git_index_entry entry{};
    entry.id = id;
    entry.mode = GIT_FILEMODE_BLOB;
    entry.path = path.c_str();
    check(git_index_add(&index, &entry), "merge the owner's files");
  }
  void put(git_index& index, const std::string& path, const std::string& text) {
    git_oid id{};
    check(git_blob_create_from_buffer(&id, &repo_, text.data(), text.size()), "write an owner's file");
    put(index, path, id);
  }

  // A file that all three differ in, joined; lines that both added at one place are no conflict.
  std::optional<Joined> join(const char* path, const git_oid& base, const git_oid& onto,
                             const git_oid& mine) {
    const auto was = entry(base, path);
    const auto theirs = entry(onto, path);
    const auto ours = entry(mine, path);
    const auto differ = [](const auto& a, const auto& b) { return !a || !same(*a, *b); };
    if (!theirs || !ours || !differ(was, theirs) || !differ(was, ours) || !differ(theirs, ours))
      return std::nullopt;
    return join_edits(path, was ? blob(*was) : std::string(), blob(*theirs), blob(*ours));
  }

  std::vector<EditClash> clashes_in(const git_oid& root) {
    const auto id = entry(root, std::string(clashes_path).c_str());
    return id ? parse_clashes(blob(*id)) : std::vector<EditClash>();
  }

  // Notes clashes beside those that are open. One that the other side noted, and this one did not know of
  // when it edited the same, stays open with that edit kept.
  void note(git_index& index, const git_oid& base, const git_oid& onto, const git_oid& mine,
            std::vector<EditClash> found) {
    const std::string path(clashes_path);
    const std::vector<EditClash> was = clashes_in(base);
    std::vector<EditClash> all = join_clashes(was, clashes_in(onto), clashes_in(mine));
    for (EditClash& each : all) {
      const git_index_entry* at = git_index_get_bypath(&index, each.file.c_str(), 0);
      if (is_noted(was, each) || at == nullptr) continue;
      if (each.key.empty())
        each.kept = oid_text(at->id);
      else if (auto said = said_of(each, blob(at->id)))
        each.kept = std::move(*said);
    }
    std::erase_if(all, [&](const EditClash& each) { return is_noted(found, each); });
    all.insert(all.end(), std::make_move_iterator(found.begin()), std::make_move_iterator(found.end()));
    if (!all.empty()) return put(index, path, write_clashes(std::move(all)));
    (void)git_index_conflict_remove(&index, path.c_str());
    (void)git_index_remove(&index, path.c_str(), 0);
  }

  // The tree with its state read again from its originals, by its own layout.
  git_oid read_again(const git_oid& root) {
    std::vector<PathText> originals;
    for (const TreeEntry& file : list_files(repo_, root, "originals/")) {
      originals.emplace_back(file.path, blob(file.id));
    }
    const auto files = rules_.state(text(root, "layout.toml"), text(root, "machine.toml"), originals);
    ObjectBatch batch(repo_, git_folder_);
    std::vector<std::string_view> contents;
    contents.reserve(files.size());
    for (const auto& [path, bytes] : files) contents.emplace_back(bytes);
    const auto ids = KnownBlobs().ids(git_folder_, contents);
    std::vector<NewFile> entries;
    for (std::size_t i = 0; i < files.size(); ++i) {
      batch.add_blob(ids[i], files[i].second);
      entries.push_back({files[i].first, ids[i]});
    }
    std::sort(entries.begin(), entries.end(), [](const auto& a, const auto& b) { return a.path < b.path; });
    const git_oid id = merge_tree(repo_, batch, root, {"state"}, entries);
    (void)batch.write();
    return id;
  }

  git_repository& repo_;
  std::filesystem::path git_folder_;
  const LineRules& rules_;
};

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
  Layer layer(repo, git_folder, rules);
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
    const git_oid tree = layer.tree_of(*commit, info, below);
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
