#include "store/repository_view.hpp"

#include <fmt/format.h>

#include "git/commit_info.hpp"
#include "git/git.hpp"
#include "git/walk.hpp"

namespace keepway::store {
namespace {

// A tree deeper than this is not ours, and is reported so by its paths' length all the same.
constexpr std::size_t max_depth = 512;
constexpr std::size_t max_entries = 1'000'000;

struct Level {
  TreeHandle tree;
  std::string path;
  std::size_t next = 0;
};

}  // namespace

struct RepositoryView::Impl {
  RepoHandle owned;
  git_repository* repo = nullptr;
  std::unique_ptr<FormCheck> form;
};

RepositoryView::RepositoryView(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
RepositoryView::RepositoryView(RepositoryView&&) noexcept = default;
RepositoryView& RepositoryView::operator=(RepositoryView&&) noexcept = default;
RepositoryView::~RepositoryView() = default;

RepositoryView RepositoryView::open() {
  start_library();
  git_repository* raw = nullptr;
  const int code = git_repository_open_ext(&raw, nullptr, GIT_REPOSITORY_OPEN_FROM_ENV, nullptr);
  if (code == GIT_ENOTFOUND) {
    throw Error(ErrorKind::usage, "there is no Git repository here",
                "this command is for Git to call, from the hooks that 'keepway hooks' puts in place");
  }
  check(code, "open the repository");
  auto impl = std::make_unique<Impl>();
  impl->owned.reset(raw);
  impl->repo = raw;
  return RepositoryView(std::move(impl));
}

RepositoryView RepositoryView::onto(git_repository& repo) {
  auto impl = std::make_unique<Impl>();
  impl->repo = &repo;
  return RepositoryView(std::move(impl));
}

std::optional<Harm> RepositoryView::harm(const Oid& commit) const {
  if (!impl_->form) impl_->form = std::make_unique<FormCheck>(*impl_->repo);
  return impl_->form->commit(parse_oid(commit));
}

bool RepositoryView::is_fresh() const {
  const auto refs = take<RefIteratorHandle>("list the refs", git_reference_iterator_new, impl_->repo);
  git_reference* raw = nullptr;
  const int code = git_reference_next(&raw, refs.get());
  const RefHandle first(raw);
  if (code != GIT_ITEROVER) check(code, "list the refs");
  return code == GIT_ITEROVER;
}

std::vector<ViewEntry> RepositoryView::index() const {
  const auto index = take<IndexHandle>("read the index", git_repository_index, impl_->repo);
  std::vector<ViewEntry> out;
  for (std::size_t i = 0; i < git_index_entrycount(index.get()); ++i) {
    const git_index_entry* entry = git_index_get_byindex(index.get(), i);
    out.push_back({entry->path, oid_text(entry->id), entry->mode, git_index_entry_stage(entry)});
  }
  return out;
}

std::vector<ViewEntry> RepositoryView::tree(const Oid& commit) const {
  const git_oid id = parse_oid(commit);
  const auto handle = take<CommitHandle>("read a commit", git_commit_lookup, impl_->repo, &id);
  std::vector<ViewEntry> out;
  std::vector<Level> levels;
  levels.push_back({take<TreeHandle>("read a tree", git_commit_tree, handle.get()), ""});
  while (!levels.empty()) {
    Level& level = levels.back();
    if (level.next == git_tree_entrycount(level.tree.get())) {
      levels.pop_back();
      continue;
    }
    const git_tree_entry* entry = git_tree_entry_byindex(level.tree.get(), level.next++);
    const std::string path = level.path + git_tree_entry_name(entry);
    if (git_tree_entry_type(entry) != GIT_OBJECT_TREE) {
      out.push_back({path, oid_text(*git_tree_entry_id(entry)),
                     static_cast<std::uint32_t>(git_tree_entry_filemode_raw(entry))});
    } else if (levels.size() == max_depth) {
      throw Error(ErrorKind::input, fmt::format("the commit {} has a tree too deep to be read", commit),
                  "leave it out of the push");
    } else {
      levels.push_back(
          {take<TreeHandle>("read a tree", git_tree_lookup, impl_->repo, git_tree_entry_id(entry)),
           path + '/'});
    }
    if (out.size() > max_entries) {
      throw Error(ErrorKind::input,
                  fmt::format("the commit {} holds more than {} files", commit, max_entries),
                  "leave it out of the push");
    }
  }
  return out;
}

std::string RepositoryView::read(const Oid& blob) const {
  const git_oid id = parse_oid(blob);
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, impl_->repo);
  const auto object = take<OdbObjectHandle>("read the object " + blob, git_odb_read, odb.get(), &id);
  return {static_cast<const char*>(git_odb_object_data(object.get())), git_odb_object_size(object.get())};
}

std::uint64_t RepositoryView::size(const Oid& blob) const {
  const git_oid id = parse_oid(blob);
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, impl_->repo);
  std::size_t bytes = 0;
  git_object_t type = GIT_OBJECT_INVALID;
  check(git_odb_read_header(&bytes, &type, odb.get(), &id), "read the object " + blob);
  return bytes;
}

std::optional<Oid> RepositoryView::head() const {
  git_oid id{};
  const int code = git_reference_name_to_id(&id, impl_->repo, "HEAD");
  if (code == GIT_ENOTFOUND || code == GIT_EUNBORNBRANCH) return std::nullopt;
  check(code, "read HEAD");
  return oid_text(id);
}

std::vector<Oid> RepositoryView::merge_heads() const {
  std::vector<Oid> out;
  const auto add = [](const git_oid* id, void* into) {
    static_cast<std::vector<Oid>*>(into)->push_back(oid_text(*id));
    return 0;
  };
  const int code = git_repository_mergehead_foreach(impl_->repo, add, &out);
  if (code != GIT_ENOTFOUND) check(code, "read the heads of the merge");
  return out;
}

CommitInfo RepositoryView::info(const Oid& commit) const {
  const git_oid id = parse_oid(commit);
  return info_of(*impl_->repo, *take<CommitHandle>("read a commit", git_commit_lookup, impl_->repo, &id));
}

bool RepositoryView::has_commit(std::string_view text) const {
  git_oid id{};
  if (text.size() != GIT_OID_HEXSZ || git_oid_fromstrn(&id, text.data(), text.size()) != 0) return false;
  git_commit* raw = nullptr;
  const int code = git_commit_lookup(&raw, impl_->repo, &id);
  const CommitHandle commit(raw);
  return code == 0;
}

std::optional<Oid> RepositoryView::commit_of(const Oid& object) const {
  const git_oid id = parse_oid(object);
  const auto handle =
      take<ObjectHandle>("read " + object, git_object_lookup, impl_->repo, &id, GIT_OBJECT_ANY);
  git_object* raw = nullptr;
  if (git_object_peel(&raw, handle.get(), GIT_OBJECT_COMMIT) != 0) return std::nullopt;
  const ObjectHandle commit(raw);
  return oid_text(*git_object_id(raw));
}

std::vector<Oid> RepositoryView::unknown(const Oid& tip) const {
  const auto walk = take<WalkHandle>("walk the history", git_revwalk_new, impl_->repo);
  git_revwalk_sorting(walk.get(), GIT_SORT_TOPOLOGICAL | GIT_SORT_REVERSE);
  const git_oid id = parse_oid(tip);
  check(git_revwalk_push(walk.get(), &id), "walk the history");
  check(git_revwalk_hide_glob(walk.get(), "*"), "walk the history");
  std::vector<Oid> out;
  for (const git_oid& each : rest_of(*walk)) out.push_back(oid_text(each));
  return out;
}

bool RepositoryView::descends(const Oid& commit, const Oid& ancestor) const {
  if (commit == ancestor) return true;
  const git_oid a = parse_oid(commit);
  const git_oid b = parse_oid(ancestor);
  const int code = git_graph_descendant_of(impl_->repo, &a, &b);
  check(code, "compare two histories");
  return code == 1;
}

}  // namespace keepway::store
