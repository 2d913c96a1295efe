#include "sync/rebase_tree.hpp"

#include <algorithm>
#include <array>
#include <iterator>
#include <optional>
#include <set>

#include "git/known_blobs.hpp"
#include "git/made_of.hpp"
#include "git/objects.hpp"
#include "git/read_object.hpp"
#include "git/tree.hpp"
#include "shop/clashes.hpp"

namespace keepway::store {
namespace {

using BuilderHandle = std::unique_ptr<git_treebuilder, Freed<git_treebuilder_free>>;

// Files whose rows or keys are joined one by one.
constexpr std::array<const char*, 3> joined_files = {"namebook.tsv", "machine.toml", "reasons.tsv"};
// The folders of a tree that an intake makes; all else is the owner's.
constexpr std::array<const char*, 2> intake_folders = {"state", "originals"};

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

class TreeRebase {
 public:
  TreeRebase(git_repository& repo, std::filesystem::path git_folder, const LineRules& rules)
      : repo_(repo), git_folder_(std::move(git_folder)), rules_(rules) {}

  // The tree of `commit` on top of the tree `onto`.
  git_oid tree_of(const git_commit& commit, const git_oid& onto) {
    const CommitInfo info = info_of(repo_, commit);
    const bool backup = is_backup(info);
    const git_oid mine = *git_commit_tree_id(&commit);
    git_oid before = empty_tree();
    if (git_commit_parentcount(&commit) > 0) {
      before = *git_commit_tree_id(
          take<CommitHandle>("read a commit", git_commit_lookup, &repo_, git_commit_parent_id(&commit, 0))
              .get());
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

}  // namespace

bool is_backup(const CommitInfo& info) {
  return !info.trailer(backup_trailer).empty() && !info.rewritten;
}

git_oid rebased_tree(git_repository& repo, const std::filesystem::path& git_folder, const LineRules& rules,
                     const git_commit& commit, const git_oid& onto) {
  return TreeRebase(repo, git_folder, rules).tree_of(commit, onto);
}

}  // namespace keepway::store
