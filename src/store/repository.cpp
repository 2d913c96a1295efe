// Making, opening, and adding to a repository.
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "git/attributes.hpp"
#include "git/commit_info.hpp"
#include "git/form.hpp"
#include "git/guard.hpp"
#include "git/made_of.hpp"
#include "git/new_folder.hpp"
#include "git/objects.hpp"
#include "git/path.hpp"
#include "git/settings_record.hpp"
#include "git/tips.hpp"
#include "git/tree.hpp"
#include "store/impl.hpp"
#include "store/series.hpp"

namespace keepway::store {
namespace {

// In path order; Error{refused} for a path that is not clean, given twice, or below another.
std::vector<TreeFile> in_order(std::vector<TreeFile> files) {
  const auto by_path = [](const TreeFile& a, const TreeFile& b) { return a.path < b.path; };
  if (!std::is_sorted(files.begin(), files.end(), by_path)) std::sort(files.begin(), files.end(), by_path);
  for (std::size_t i = 0; i < files.size(); ++i) {
    const std::string& path = files[i].path;
    require_clean_path(path);
    bool clash = i > 0 && files[i - 1].path == path;
    for (std::size_t slash = path.find('/'); !clash && slash != std::string::npos;
         slash = path.find('/', slash + 1)) {
      clash = std::binary_search(files.begin(), files.end(), TreeFile{path.substr(0, slash), {}}, by_path);
    }
    if (clash) {
      throw Error(ErrorKind::refused,
                  fmt::format("'{}' is given twice, or as a folder and a file", printable(path)),
                  "give each path once");
    }
  }
  return files;
}

RepoHandle init_repository(const std::filesystem::path& folder) {
  git_repository_init_options options{};
  check(git_repository_init_options_init(&options, GIT_REPOSITORY_INIT_OPTIONS_VERSION), "make a repository");
  options.flags = GIT_REPOSITORY_INIT_MKPATH | GIT_REPOSITORY_INIT_NO_REINIT;
  options.initial_head = "main";
  auto repo = take<RepoHandle>("make a repository in " + folder.string(), git_repository_init_ext,
                               folder.c_str(), &options);
  guard(*repo);
  return repo;
}

// Best effort: the line has moved, from `before`.
void remember_move(git_repository& repo, const std::filesystem::path& git_folder, const std::string& ref,
                   const std::optional<git_oid>& before, const git_oid& id) {
  git_commit* raw = nullptr;
  if (git_commit_lookup(&raw, &repo, &id) != 0) return;
  const CommitHandle commit(raw);
  const CommitInfo info = info_of(repo, *commit);
  const auto is_on = [&](const git_oid& other) {
    if (git_oid_equal(&other, &id) != 0 || (before && git_oid_equal(&other, &*before) != 0)) return true;
    return git_graph_descendant_of(&repo, &id, &other) == 1;
  };
  remember_tip(git_folder,
               {ref, id, info.at, info.summary, std::string(info.trailer("Keepway-Digest")), false}, is_on);
}

RepoHandle open_with_work_tree(const std::filesystem::path& folder) {
  auto repo = open_repository(folder);
  if (git_repository_is_bare(repo.get()) != 0) {
    throw Error(ErrorKind::store, folder.string() + " is a repository without a work tree",
                "make a clone of it that has one, with `git clone`");
  }
  return repo;
}

bool has_no_files(const std::filesystem::path& folder) {
  std::error_code trouble;
  if (!std::filesystem::exists(folder, trouble)) return true;
  const bool empty = std::filesystem::is_empty(folder, trouble);
  if (trouble) fail_disk(trouble.value(), "look into " + folder.string());
  return empty;
}

}  // namespace

Repository::Impl::Impl() = default;
Repository::Impl::~Impl() = default;

Repository::Repository(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Repository::Repository(Repository&&) noexcept = default;
Repository& Repository::operator=(Repository&&) noexcept = default;
Repository::~Repository() = default;

Repository Repository::create(const std::filesystem::path& folder, const std::vector<TreeFile>& files,
                              const NewCommit& first,
                              const std::function<void(const std::filesystem::path& made)>& more) {
  start_library();
  if (!has_no_files(folder)) {
    throw Error(ErrorKind::refused, fmt::format("{} is not empty", printable(folder.string())),
                "give a new folder, or an empty one");
  }
  std::vector<TreeFile> all = files;
  if (std::none_of(files.begin(), files.end(),
                   [](const TreeFile& file) { return file.path == attributes_path; })) {
    all.push_back({std::string(attributes_path), attributes});
  }
  NewFolder made(folder);
  {
    Impl impl;
    impl.folder = made.path();
    impl.repo = init_repository(made.path());
    const Lock lock(impl.git_folder());
    impl.commit_onto("main", {}, all, first);
    remember_settings(impl.git_folder());
  }
  if (more) more(made.path());
  made.put_in_place();
  return open(folder);
}

Repository Repository::open(const std::filesystem::path& folder) {
  start_library();
  auto impl = std::make_unique<Impl>();
  impl->folder = folder;
  impl->repo = open_with_work_tree(folder);
  if (WorkTree(*impl->repo, folder).pending()) {
    try {
      const Lock lock(impl->git_folder());
      impl->finish_pending();
    } catch (const Error& error) {
      // Another program is at it, or the disk is read-only: what is stored can be read all the same.
      impl->trouble = error.what();
    }
  }
  return Repository(std::move(impl));
}

const std::filesystem::path& Repository::folder() const {
  return impl_->folder;
}

std::filesystem::path Repository::git_folder() const {
  return impl_->git_folder();
}

const std::string& Repository::work_tree_trouble() const {
  return impl_->trouble;
}

Lock Repository::Impl::lock() const {
  if (held) throw Error(*held);
  return Lock(git_folder());
}

void Repository::hold_writes(std::optional<Error> reason) {
  impl_->held = std::move(reason);
}

const std::optional<Error>& Repository::writes_held() const {
  return impl_->held;
}

void Repository::require_writes() const {
  if (impl_->held) throw Error(*impl_->held);
}

Oid Repository::add(const std::string& line, const std::vector<std::string>& replace,
                    const std::vector<TreeFile>& files, const NewCommit& commit) {
  if (impl_->series) return impl_->commit_onto(line, replace, files, commit);
  require_settled();
  const Lock lock = impl_->lock();
  impl_->finish_pending();
  return impl_->commit_onto(line, replace, files, commit);
}

void Repository::repair(const std::vector<std::string>& replace) {
  const Lock lock = impl_->lock();
  impl_->finish_pending();
  const auto tip = impl_->target("HEAD");
  if (tip) impl_->bring_work_tree(tip, replace, {});
}

std::string Repository::Impl::head_ref() const {
  const auto head = take<RefHandle>("read HEAD", git_reference_lookup, repo.get(), "HEAD");
  const char* name = git_reference_symbolic_target(head.get());
  return name == nullptr ? "" : name;
}

std::optional<Oid> Repository::tip() const {
  const std::string ref = impl_->head_ref();
  const auto in_series = impl_->series ? impl_->series->tip(ref) : std::nullopt;
  const auto found = in_series ? in_series : impl_->target("HEAD");
  return found ? std::optional(oid_text(*found)) : std::nullopt;
}

void Repository::Impl::require_harmless(const git_oid& commit) {
  if (harmless && git_oid_equal(&*harmless, &commit) != 0) return;
  if (const auto harm = FormCheck(*repo, FormCheck::Contents::trusted).commit(commit)) {
    require_folders(commit);
    throw Error(
        ErrorKind::refused,
        fmt::format("the commit {}, which another program made, holds what could do harm: {}{}{}",
                    oid_text(commit).substr(0, 10), harm->path, harm->path.empty() ? "" : ": ", harm->what),
        "nothing was written; undo that commit ('git reset' in the machine's folder, to the commit before "
        "it), and ask who made it");
  }
  harmless = commit;
}

std::optional<git_oid> Repository::Impl::target(const std::string& ref) const {
  git_oid id{};
  const int code = git_reference_name_to_id(&id, repo.get(), ref.c_str());
  if (code == GIT_ENOTFOUND || code == GIT_EINVALIDSPEC) return std::nullopt;
  check(code, "read " + ref);
  return id;
}

Oid Repository::Impl::commit_onto(const std::string& line, const std::vector<std::string>& replace,
                                  const std::vector<TreeFile>& files, const NewCommit& commit) {
  const std::string ref = lines_prefix + line;
  const std::string head = head_ref();
  const auto stored = series ? series->tip(ref) : std::nullopt;
  const auto tip = stored ? stored : target(ref);
  if (!tip && ref != head) {
    throw Error(ErrorKind::usage, fmt::format("there is no branch '{}'", printable(line)),
                "create the branch first");
  }
  if (!commit.onto.empty() && (!tip || oid_text(*tip) != commit.onto)) {
    throw Error(ErrorKind::store, "another backup came in meanwhile, and nothing was stored",
                "run the command again: it then starts from that backup");
  }
  const std::vector<TreeFile> sorted = in_order(files);
  std::vector<std::string_view> replaced;
  replaced.reserve(replace.size());
  for (const std::string& prefix : replace) replaced.push_back(clean_prefix(prefix));

  ObjectBatch batch(*repo, git_folder());
  std::vector<git_oid> parents;
  std::optional<git_oid> old_tree;
  if (tip) {
    parents.push_back(*tip);
    require_harmless(*tip);
    const auto parent = take<CommitHandle>("read a commit", git_commit_lookup, repo.get(), &*tip);
    old_tree = *git_commit_tree_id(parent.get());
  }
  for (const Oid& parent : commit.also_parents) {
    const git_oid id = parse_oid(parent);
    take<CommitHandle>("read a parent", git_commit_lookup, repo.get(), &id);
    parents.push_back(id);
  }
  // What the tip holds is safe for as long as this takes, unless it is lost: that is written again, and so is
  // whatever else is there, since it may be garbage to Git.
  std::vector<TreeEntry> there;
  Ids safe;
  if (old_tree && (!series || !stored)) {
    there = list_files(*repo, *old_tree, "", &safe);
    for (const TreeEntry& entry : there) {
      if (batch.is_there(entry.id)) safe.insert(entry.id);
    }
  }
  if (series && !stored) series->begin_with(std::exchange(safe, {}));
  batch.spare([&](const git_oid& object) { return series ? series->has(object) : safe.contains(object); });
  const std::vector<NewFile> new_files = add_blobs(sorted, batch);
  const git_oid tree = merge_tree(*repo, batch, old_tree, replaced, new_files);
  NewCommit sealed = commit;
  say_made_of(sealed, tip, batch.bytes(tree));
  const git_oid id = batch.add(GIT_OBJECT_COMMIT, commit_bytes(*repo, tree, parents, sealed));
  harmless = id;
  const std::string reason = "keepway: " + printable(commit.summary);
  if (series) {
    series->take(batch);
    series->moved(ref, tip, id, reason, replace);
    return oid_text(id);
  }
  const PackHold hold = batch.write(commit.on_progress);
  known.save(git_folder());
  move_line(ref, tip, id, reason, replace, sorted, there, commit.on_progress);
  return oid_text(id);
}

std::vector<NewFile> Repository::Impl::add_blobs(const std::vector<TreeFile>& files, ObjectBatch& batch) {
  std::vector<NewFile> out;
  out.reserve(files.size());
  std::vector<std::string_view> contents;  // of those whose ids are not known yet
  std::vector<std::optional<Sha256>> sums;
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < files.size(); ++i) {
    const git_oid* id = series ? series->same_as_before(files[i]) : nullptr;
    out.push_back({files[i].path, id != nullptr ? *id : git_oid{}});
    if (id != nullptr) continue;
    contents.push_back(files[i].bytes);
    sums.push_back(files[i].sum);
    places.push_back(i);
  }
  const std::vector<git_oid> ids = known.ids(git_folder(), contents, sums);
  for (std::size_t i = 0; i < places.size(); ++i) {
    const TreeFile& file = files[places[i]];
    out[places[i]].id = ids[i];
    batch.add_blob(ids[i], file.bytes);
    if (series) series->remember(file, ids[i]);
  }
  return out;
}

void Repository::Impl::move_line(const std::string& ref, const std::optional<git_oid>& tip, const git_oid& id,
                                 const std::string& reason, const std::vector<std::string>& replace,
                                 const std::vector<TreeFile>& fresh, std::span<const TreeEntry> old_files,
                                 const OnProgress& on_progress) {
  const bool checked_out = ref == head_ref();
  if (checked_out) WorkTree(*repo, folder).set_pending({tip, replace});
  RefHandle moved;
  git_reference* raw = nullptr;
  // Compare and swap: another Git program may have committed meanwhile, lock or no lock.
  const int code =
      tip ? git_reference_create_matching(&raw, repo.get(), ref.c_str(), &id, 1, &*tip, reason.c_str())
          : git_reference_create(&raw, repo.get(), ref.c_str(), &id, 0, reason.c_str());
  moved.reset(raw);
  try {
    check(code, "move the branch " + ref.substr(std::string_view(lines_prefix).size()));
  } catch (const Error&) {
    // It may have moved all the same, and only its folder not been synced: who says that it failed must have
    // changed nothing.
    if (const auto now = target(ref); now && git_oid_equal(&*now, &id) != 0) take_back(ref, id, tip);
    throw;
  }
  remember_move(*repo, git_folder(), ref, tip, id);
  remember_packs(git_folder() / "objects");
  if (checked_out) bring_work_tree(tip, replace, fresh, old_files, on_progress);
}

void Repository::Impl::take_back(const std::string& ref, const git_oid& from,
                                 const std::optional<git_oid>& to) const {
  git_reference* raw = nullptr;
  if (to) {
    (void)git_reference_create_matching(&raw, repo.get(), ref.c_str(), &*to, 1, &from, "keepway: taken back");
  } else {
    (void)git_reference_remove(repo.get(), ref.c_str());
  }
  git_reference_free(raw);
}

void Repository::Impl::finish_pending() {
  const auto pending = WorkTree(*repo, folder).pending();
  if (pending) bring_work_tree(pending->before, pending->folders, {});
}

void Repository::Impl::bring_work_tree(const std::optional<git_oid>& before,
                                       const std::vector<std::string>& folders,
                                       const std::vector<TreeFile>& fresh,
                                       std::span<const TreeEntry> old_files, const OnProgress& on_progress) {
  try {
    WorkTree work_tree(*repo, folder);
    if (const auto tip = target("HEAD"))
      work_tree.bring(before, *tip, folders, fresh, old_files, on_progress);
    work_tree.clear_pending();
    trouble.clear();
  } catch (const Error& error) {
    trouble = error.what();
  }
}

}  // namespace keepway::store
