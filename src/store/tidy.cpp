// Packs that came one a backup, put together: with deltas while they are fresh, end to end after that.
//
// Motivation: a backup leaves a pack of a dozen whole objects, and every look-up asks every pack. Fresh packs
// are therefore packed together with deltas every few backups, which is bounded work, and the results
// are joined end to end as in a merge sort, which copies bytes and no more. A full tidy() does both with all
// there is.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <set>

#include "store/impl.hpp"
#include "store/objects.hpp"
#include "store/pack_files.hpp"

namespace keepway::store {
namespace {

namespace fs = std::filesystem;
using Ids = std::set<git_oid, OidLess>;
using BuilderHandle = std::unique_ptr<git_packbuilder, Freed<git_packbuilder_free>>;
using RefdbHandle = std::unique_ptr<git_refdb, Freed<git_refdb_free>>;

// A pack with more objects than this is no day's intake.
constexpr std::size_t fresh_at_most = 200;
constexpr std::size_t fresh_due = 24;   // packs delta-packed in one go
constexpr std::size_t joined_due = 12;  // packs joined in one go
constexpr std::uint64_t join_limit = std::uint64_t{256} << 20U;
constexpr std::size_t max_depth = 512;  // of trees

struct LooseFile {
  git_oid id{};
  fs::path path;
};

std::vector<LooseFile> loose_files(const fs::path& objects) {
  std::vector<LooseFile> files;
  std::error_code trouble;
  for (const auto& folder : fs::directory_iterator(objects, trouble)) {
    const std::string head = folder.path().filename().string();
    if (head.size() != 2) continue;
    std::error_code unreadable;
    for (const auto& entry : fs::directory_iterator(folder.path(), unreadable)) {
      const std::string name = head + entry.path().filename().string();
      LooseFile file;
      if (name.size() != GIT_OID_HEXSZ || git_oid_fromstrn(&file.id, name.data(), name.size()) != 0) continue;
      file.path = entry.path();
      files.push_back(std::move(file));
    }
  }
  return files;
}

// Gives a pack's objects to libgit2 with the paths they have, the newest first: of objects with like paths
// it finds the small deltas.
class Namer {
 public:
  Namer(git_repository& repo, git_packbuilder& builder, const Ids& ids)
      : repo_(repo), builder_(builder), left_(ids) {}

  void insert_all() {
    const auto odb = take<OdbHandle>("open the objects", git_repository_odb, &repo_);
    std::vector<std::pair<git_time_t, git_oid>> commits;
    for (const git_oid& id : left_) {
      std::size_t size = 0;
      git_object_t type = GIT_OBJECT_INVALID;
      check(git_odb_read_header(&size, &type, odb.get(), &id), "read an object");
      if (type != GIT_OBJECT_COMMIT) continue;
      const auto commit = take<CommitHandle>("read a commit", git_commit_lookup, &repo_, &id);
      commits.emplace_back(git_commit_time(commit.get()), id);
    }
    std::stable_sort(commits.begin(), commits.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    for (const auto& [time, id] : commits) put(id, "");
    for (const auto& [time, id] : commits) {
      const auto commit = take<CommitHandle>("read a commit", git_commit_lookup, &repo_, &id);
      tree(*git_commit_tree_id(commit.get()), "", 0);
    }
    const Ids rest = left_;
    for (const git_oid& id : rest) put(id, "");
  }

 private:
  bool put(const git_oid& id, const std::string& path) {
    if (left_.erase(id) == 0) return false;
    check(git_packbuilder_insert(&builder_, &id, path.empty() ? nullptr : path.c_str()), "pack an object");
    return true;
  }
  void tree(const git_oid& id, const std::string& path, std::size_t depth) {
    if (depth > max_depth || !put(id, path)) return;
    const auto handle = take<TreeHandle>("read a tree", git_tree_lookup, &repo_, &id);
    for (std::size_t i = 0; i < git_tree_entrycount(handle.get()); ++i) {
      const git_tree_entry* entry = git_tree_entry_byindex(handle.get(), i);
      const git_oid& below = *git_tree_entry_id(entry);
      if (!left_.contains(below)) continue;
      std::string whole = path.empty() ? git_tree_entry_name(entry) : path + '/' + git_tree_entry_name(entry);
      if (git_tree_entry_type(entry) == GIT_OBJECT_TREE) {
        tree(below, whole, depth + 1);
      } else {
        put(below, whole);
      }
    }
  }

  git_repository& repo_;
  git_packbuilder& builder_;
  Ids left_;
};

// Reading for a pack need not hash what it reads: the pack's indexer hashes all of it.
class Unhashed {
 public:
  Unhashed() { git_libgit2_opts(GIT_OPT_ENABLE_STRICT_HASH_VERIFICATION, 0); }
  Unhashed(const Unhashed&) = delete;
  Unhashed& operator=(const Unhashed&) = delete;
  ~Unhashed() { git_libgit2_opts(GIT_OPT_ENABLE_STRICT_HASH_VERIFICATION, 1); }
};

// Writes one pack of these objects, and returns it once it is seen to hold them all.
PackFile delta_pack(git_repository& repo, const fs::path& folder, const Ids& ids) {
  const Unhashed unhashed;
  const auto builder = take<BuilderHandle>("pack the objects", git_packbuilder_new, &repo);
  git_packbuilder_set_threads(builder.get(), 2);
  Namer(repo, *builder, ids).insert_all();
  // Its indexer inflates and hashes each object again, and syncs pack, index and folder.
  check(git_packbuilder_write(builder.get(), folder.c_str(), 0, nullptr, nullptr), "write the pack");
  sync_folder(folder);
  PackFile made;
  made.stem = folder / ("pack-" + std::string(git_packbuilder_name(builder.get())));
  const auto entries = read_pack_index(made);
  Ids written;
  if (entries) {
    for (const PackEntry& entry : *entries) written.insert(entry.id);
  }
  if (!std::includes(written.begin(), written.end(), ids.begin(), ids.end(), OidLess())) {
    throw Error(Exit::store, "the new pack does not hold all it should, and the old ones are kept",
                "run `git fsck` in the machine's folder");
  }
  std::error_code absent;
  made.bytes = fs::file_size(made.stem.string() + ".pack", absent);
  return made;
}

// Half-written files, indexes without a pack, and parts of packs without an index: what a program that was
// cut off left. A pack that is whole, or that cannot be read, is none: it may have lost its index to a
// damaged disk, and be the only place of its objects.
bool is_leftover(const fs::path& path) {
  const std::string name = path.filename().string();
  if (name.starts_with("tmp_") || name.starts_with("pack_git2_")) return true;
  if (path.extension() == ".idx") return !fs::exists(fs::path(path).replace_extension(".pack"));
  if (path.extension() != ".pack" || fs::exists(fs::path(path).replace_extension(".idx"))) return false;
  PackFile pack;
  pack.stem = fs::path(path).replace_extension();
  return is_damaged(pack);
}

// Not those of the last hour, since another Git program may be about to name the index.
void remove_leftovers(const fs::path& folder) {
  std::error_code trouble;
  std::vector<fs::path> leftovers;
  for (const auto& entry : fs::directory_iterator(folder, trouble)) {
    const auto written = fs::last_write_time(entry.path(), trouble);
    const bool old = !trouble && fs::file_time_type::clock::now() - written > std::chrono::hours(1);
    if (old && is_leftover(entry.path())) leftovers.push_back(entry.path());
  }
  for (const fs::path& path : leftovers) fs::remove(path, trouble);
}

std::uint64_t bytes_of(const std::vector<PackFile>& packs) {
  std::uint64_t sum = 0;
  for (const PackFile& pack : packs) sum += pack.bytes;
  return sum;
}

// One new pack in place of `packs` and `loose`.
void repack(git_repository& repo, const fs::path& folder, std::vector<PackFile> packs,
            const std::vector<LooseFile>& loose) {
  Ids ids;
  std::erase_if(packs, [&](const PackFile& pack) {
    const auto entries = read_pack_index(pack);
    if (entries) {
      for (const PackEntry& entry : *entries) ids.insert(entry.id);
    }
    return !entries;  // not ours to judge: it stays
  });
  for (const LooseFile& file : loose) ids.insert(file.id);
  if (ids.empty()) return;
  const PackFile made = delta_pack(repo, folder, ids);
  std::erase_if(packs, [&](const PackFile& pack) { return pack.stem == made.stem; });
  remove_packs(folder, packs);
  std::error_code ignored;
  for (const LooseFile& file : loose) fs::remove(file.path, ignored);
}

}  // namespace

Repository::Tidied Repository::tidy() {
  const Lock lock = impl_->lock();
  const fs::path objects = impl_->git_folder() / "objects";
  const fs::path folder = objects / "pack";
  remove_leftovers(folder);
  std::vector<PackFile> packs = pack_files(folder);
  const std::vector<LooseFile> loose = loose_files(objects);
  Tidied told;
  told.packs_before = packs.size();
  told.loose = loose.size();
  told.bytes_before = bytes_of(packs);
  for (const LooseFile& file : loose) {
    std::error_code absent;
    const auto size = fs::file_size(file.path, absent);
    if (!absent) told.bytes_before += size;
  }
  std::erase_if(packs, [](const PackFile& pack) { return pack.kept; });
  for (const PackFile& pack : packs) {
    if (is_whole(pack)) continue;
    throw Error(Exit::store,
                fmt::format("{} is damaged, and nothing was packed", pack.stem.filename().string()),
                "see what it touches with 'keepway audit', and mend it from a clone with --from");
  }
  // Only what has no deltas yet is searched for them: libgit2 sorts by size, not by time, and over a thousand
  // backups it found worse ones than it had found a few backups at a time (9.2 MB against 5.8 MB).
  std::vector<PackFile> fresh;
  for (const PackFile& pack : packs) {
    if (objects_in(pack) <= fresh_at_most) fresh.push_back(pack);
  }
  if (fresh.size() > 1 || !loose.empty()) repack(*impl_->repo, folder, fresh, loose);
  packs = pack_files(folder);
  std::erase_if(packs, [](const PackFile& pack) { return pack.kept; });
  remove_packs(folder, join_packs(folder, packs));
  const auto refs = take<RefdbHandle>("open the refs", git_repository_refdb, impl_->repo.get());
  check(git_refdb_compress(refs.get()), "pack the refs");
  impl_->reopen();
  const std::vector<PackFile> after = pack_files(folder);
  told.packs_after = after.size();
  told.bytes_after = bytes_of(after);
  return told;
}

void Repository::tidy_when_due() noexcept {
  try {
    const fs::path folder = impl_->git_folder() / "objects" / "pack";
    std::vector<PackFile> packs = pack_files(folder);
    std::erase_if(packs, [](const PackFile& pack) { return pack.kept; });
    if (packs.size() < fresh_due) return;
    const Lock lock = impl_->lock();
    std::vector<PackFile> fresh;
    std::vector<PackFile> others;
    for (PackFile& pack : packs) {
      (objects_in(pack) <= fresh_at_most && fresh.size() < fresh_due * 2 ? fresh : others)
          .push_back(std::move(pack));
    }
    bool moved = false;
    if (fresh.size() >= fresh_due) {
      // A damaged one is left for the audit to tell of. Only what is packed anew is read for this.
      std::erase_if(fresh, [](const PackFile& pack) { return !is_whole(pack); });
      repack(*impl_->repo, folder, fresh, {});
      moved = true;
    } else if (others.size() >= joined_due) {
      // As in a merge sort: a pack waits until the smaller ones come to half of it.
      std::vector<PackFile> joined;
      for (const PackFile& pack : others) {  // the smallest first
        if (pack.bytes > join_limit || (joined.size() >= joined_due / 2 && pack.bytes > 2 * bytes_of(joined)))
          break;
        joined.push_back(pack);
      }
      const auto done = join_packs(folder, joined);
      remove_packs(folder, done);
      moved = !done.empty();
    }
    if (moved) impl_->reopen();
  } catch (...) {  // NOLINT(bugprone-empty-catch): what was not put together lies well where it lies
  }
}

void Repository::Impl::reopen() {
  repo = open_repository(folder);
}

}  // namespace keepway::store
