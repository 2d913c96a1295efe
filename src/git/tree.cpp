#include "git/tree.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <span>

#include "git/path.hpp"

namespace keepway::store {
namespace {

struct Row {
  std::string name;
  git_oid id{};
  git_filemode_t mode = GIT_FILEMODE_BLOB;

  // Git sorts a folder as if its name ended with '/' (Git's tree.c, base_name_compare).
  [[nodiscard]] std::string order() const { return mode == GIT_FILEMODE_TREE ? name + '/' : name; }
};

void list_below(git_repository& repo, const git_oid& id, const std::string& path, std::size_t depth,
                std::vector<TreeEntry>& out, Ids* trees) {
  if (depth > max_tree_depth) {
    throw Error(ErrorKind::store, fmt::format("the tree {} is too deep", oid_text(id)),
                "look at it with `git ls-tree -r`");
  }
  const auto tree = take<TreeHandle>("read a tree", git_tree_lookup, &repo, &id);
  if (trees != nullptr) trees->insert(id);
  const std::size_t count = git_tree_entrycount(tree.get());
  for (std::size_t i = 0; i < count; ++i) {
    const git_tree_entry* entry = git_tree_entry_byindex(tree.get(), i);
    const std::string whole = path + git_tree_entry_name(entry);
    const git_filemode_t mode = git_tree_entry_filemode(entry);
    if (mode == GIT_FILEMODE_TREE) {
      list_below(repo, *git_tree_entry_id(entry), whole + '/', depth + 1, out, trees);
    } else if (mode == GIT_FILEMODE_BLOB || mode == GIT_FILEMODE_BLOB_EXECUTABLE) {
      out.push_back({whole, *git_tree_entry_id(entry), mode == GIT_FILEMODE_BLOB_EXECUTABLE});
    }
  }
}

class Merger {
 public:
  Merger(git_repository& repo, ObjectBatch& batch, const std::vector<std::string_view>& replaced)
      : repo_(repo), batch_(batch), replaced_(replaced) {}

  // Id of the new tree at `path` ("" or "a/b/"), nullopt when nothing is left in it.
  std::optional<git_oid> merge(const std::string& path, std::optional<git_oid> old,
                               std::span<const NewFile> files) {
    std::vector<Row> rows = new_rows(path, old, files);
    if (old) keep_rows(path, *old, rows);
    if (rows.empty()) return std::nullopt;
    std::sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.order() < b.order(); });
    std::string bytes;
    for (const Row& row : rows) {
      bytes += fmt::format("{:o} {}", static_cast<unsigned>(row.mode), row.name);
      bytes += '\0';
      bytes.append(reinterpret_cast<const char*>(row.id.id), sizeof row.id.id);
    }
    return batch_.add(GIT_OBJECT_TREE, std::move(bytes));
  }

 private:
  [[nodiscard]] bool is_replaced(std::string_view path) const {
    return std::any_of(replaced_.begin(), replaced_.end(),
                       [&](std::string_view r) { return lies_in(path, r); });
  }
  [[nodiscard]] bool is_replaced_below(std::string_view path) const {
    return std::any_of(replaced_.begin(), replaced_.end(),
                       [&](std::string_view r) { return lies_in(r, path); });
  }

  // Rows of the names that new files bring, folders among them merged with what was there.
  std::vector<Row> new_rows(const std::string& path, const std::optional<git_oid>& old,
                            std::span<const NewFile> files) {
    std::vector<Row> rows;
    TreeHandle tree;
    if (old && !files.empty()) tree = take<TreeHandle>("read a tree", git_tree_lookup, &repo_, &*old);
    while (!files.empty()) {
      const std::string_view rest = files.front().path.substr(path.size());
      const std::size_t slash = rest.find('/');
      Row row;
      row.name = std::string(rest.substr(0, slash));
      if (slash == std::string_view::npos) {
        row.id = files.front().id;
        files = files.subspan(1);
      } else {
        const std::string below = path + row.name + '/';
        const auto end = std::find_if(files.begin(), files.end(),
                                      [&](const NewFile& file) { return !file.path.starts_with(below); });
        const auto count = static_cast<std::size_t>(end - files.begin());
        const git_tree_entry* was = tree ? git_tree_entry_byname(tree.get(), row.name.c_str()) : nullptr;
        std::optional<git_oid> old_below;
        if (was != nullptr && git_tree_entry_type(was) == GIT_OBJECT_TREE && !is_replaced(path + row.name)) {
          old_below = *git_tree_entry_id(was);
        }
        row.mode = GIT_FILEMODE_TREE;
        row.id = *merge(below, old_below, files.first(count));  // has a file, so it is not empty
        files = files.subspan(count);
      }
      rows.push_back(std::move(row));
    }
    return rows;
  }

  // Adds the parent's rows that no new file bears the name of and no prefix replaces.
  void keep_rows(const std::string& path, const git_oid& old, std::vector<Row>& rows) {
    const auto tree = take<TreeHandle>("read a tree", git_tree_lookup, &repo_, &old);
    const std::size_t brought = rows.size();
    std::sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.name < b.name; });
    const std::size_t count = git_tree_entrycount(tree.get());
    for (std::size_t i = 0; i < count; ++i) {
      const git_tree_entry* entry = git_tree_entry_byindex(tree.get(), i);
      Row row{git_tree_entry_name(entry), *git_tree_entry_id(entry), git_tree_entry_filemode_raw(entry)};
      const std::string whole = path + row.name;
      const auto end = rows.begin() + static_cast<std::ptrdiff_t>(brought);
      const auto same = std::lower_bound(rows.begin(), end, row.name,
                                         [](const Row& a, const std::string& name) { return a.name < name; });
      if ((same != end && same->name == row.name) || is_replaced(whole)) continue;
      if (row.mode == GIT_FILEMODE_TREE && is_replaced_below(whole)) {
        const auto merged = merge(whole + '/', row.id, {});
        if (!merged) continue;
        row.id = *merged;
      }
      rows.push_back(std::move(row));
    }
  }

  git_repository& repo_;
  ObjectBatch& batch_;
  const std::vector<std::string_view>& replaced_;
};

}  // namespace

std::optional<AtPath> at_path(git_repository& repo, const git_oid& tree, std::string_view path) {
  AtPath found{tree, true};
  while (!path.empty()) {
    if (!found.folder) return std::nullopt;
    const std::string name(path.substr(0, path.find('/')));
    path.remove_prefix(std::min(name.size() + 1, path.size()));
    const auto folder = take<TreeHandle>("read a tree", git_tree_lookup, &repo, &found.id);
    const git_tree_entry* entry = git_tree_entry_byname(folder.get(), name.c_str());
    if (entry == nullptr) return std::nullopt;
    found = {*git_tree_entry_id(entry), git_tree_entry_type(entry) == GIT_OBJECT_TREE};
  }
  return found;
}

std::vector<TreeEntry> list_files(git_repository& repo, const git_oid& tree, std::string_view prefix,
                                  Ids* trees) {
  std::vector<TreeEntry> out;
  const std::string folder(
      prefix.substr(0, prefix.rfind('/') == std::string_view::npos ? 0 : prefix.rfind('/')));
  const auto start = at_path(repo, tree, folder);
  if (!start || !start->folder) return out;
  list_below(repo, start->id, folder.empty() ? "" : folder + '/', 0, out, trees);
  std::erase_if(out, [&](const TreeEntry& entry) { return !entry.path.starts_with(prefix); });
  return out;
}

git_oid merge_tree(git_repository& repo, ObjectBatch& batch, const std::optional<git_oid>& parent,
                   const std::vector<std::string_view>& replaced, const std::vector<NewFile>& files) {
  const bool all =
      std::any_of(replaced.begin(), replaced.end(), [](std::string_view r) { return r.empty(); });
  Merger merger(repo, batch, replaced);
  const auto root = merger.merge("", all ? std::nullopt : parent, files);
  return root ? *root : batch.add(GIT_OBJECT_TREE, {});
}

}  // namespace keepway::store
