// Packs that came one a backup, put together: with deltas while they are fresh, end to end after that.
//
// Motivation: a backup leaves a pack of a dozen whole objects, and every look-up asks every pack. Fresh packs
// are therefore packed together with deltas every few backups, which is bounded work, and the results
// are joined end to end as in a merge sort, which copies bytes and no more. A full tidy() makes one pack of
// all there is, its deltas found again across the joins.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <set>

#include "git/guard.hpp"
#include "git/pack_by_path.hpp"
#include "git/summed_file.hpp"
#include "store/impl.hpp"
#include "store/series.hpp"

namespace keepway::store {
namespace {

namespace fs = std::filesystem;
using RefdbHandle = std::unique_ptr<git_refdb, Freed<git_refdb_free>>;

// A pack with more objects than this is no day's intake.
constexpr std::size_t fresh_at_most = 200;
constexpr std::size_t fresh_due = 24;   // packs delta-packed in one go
constexpr std::size_t joined_due = 12;  // packs joined in one go
constexpr std::uint64_t join_limit = std::uint64_t{256} << 20U;

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

// Half-written files, indexes without a pack, and parts of packs without an index: what a program that was
// cut off left. A pack that is whole, or that cannot be read, is none: it may have lost its index to a
// damaged disk, and be the only place of its objects.
bool is_leftover(const fs::path& path) {
  const std::string name = path.filename().string();
  if (name.starts_with("tmp_") || name.starts_with(passing_prefix) || name.starts_with("pack_git2_"))
    return true;
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
  const PackFile made = pack_by_path(repo, folder, ids, Compression::best);
  const auto is_made = [&](const PackFile& pack) { return pack.stem == made.stem; };
  try {
    read_back(made, ids);
  } catch (const Error&) {
    if (std::none_of(packs.begin(), packs.end(), is_made)) remove_packs(folder, {made});
    throw;
  }
  std::erase_if(packs, is_made);
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
  Tidied tidied;
  tidied.packs_before = packs.size();
  tidied.loose = loose.size();
  tidied.bytes_before = bytes_of(packs);
  for (const LooseFile& file : loose) {
    std::error_code absent;
    const auto size = fs::file_size(file.path, absent);
    if (!absent) tidied.bytes_before += size;
  }
  std::erase_if(packs, [](const PackFile& pack) { return pack.kept; });
  for (const PackFile& pack : packs) {
    if (is_whole(pack)) continue;
    throw Error(ErrorKind::store,
                fmt::format("{} is damaged, and nothing was packed", pack.stem.filename().string()),
                "see what it affects with 'keepway audit', and repair it from a clone with --from");
  }
  if (packs.size() > 1 || !loose.empty()) repack(*impl_->repo, folder, packs, loose);
  const auto refs = take<RefdbHandle>("open the refs", git_repository_refdb, impl_->repo.get());
  check(git_refdb_compress(refs.get()), "pack the refs");
  remember_packs(objects);
  impl_->reopen();
  const std::vector<PackFile> after = pack_files(folder);
  tidied.packs_after = after.size();
  tidied.bytes_after = bytes_of(after);
  return tidied;
}

void Repository::tidy_when_due() noexcept {
  if (impl_->series) return;
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
      // A damaged one is left for the audit to report. Only what is packed again is read for this.
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
    if (!moved) return;
    remember_packs(impl_->git_folder() / "objects");
    impl_->reopen();
  } catch (...) {  // NOLINT(bugprone-empty-catch): what was not put together lies well where it lies
  }
}

void Repository::Impl::reopen() {
  series.reset();
  repo = open_repository(folder);
}

}  // namespace keepway::store
