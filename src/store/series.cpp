// Adds that land together.
#include "store/series.hpp"

#include <algorithm>

#include "git/folder.hpp"
#include "git/pack_by_path.hpp"
#include "store/worktree.hpp"

namespace keepway::store {
namespace {

constexpr int before_the_disk = 200;  // among an object store's backends

}  // namespace

std::optional<git_oid> Series::tip(const std::string& ref) const {
  if (!landing_) return std::nullopt;
  if (landing_->ref == ref) return landing_->tip;
  throw Error(ErrorKind::usage, "a series adds to one branch", "land it before adding to another");
}

const git_oid* Series::same_as_before(const TreeFile& file) const {
  const auto found = files_.find(file.path);
  if (found == files_.end()) return nullptr;
  const File& before = found->second;
  const bool same = before.sum && file.sum ? before.sum == file.sum : before.bytes == file.bytes;
  return same ? &before.id : nullptr;
}

void Series::remember(const TreeFile& file, const git_oid& id) {
  files_[file.path] = {std::string(file.bytes), file.sum, id};
}

std::vector<std::string_view> Series::contents() const {
  std::vector<std::string_view> out;
  out.reserve(files_.size());
  for (const auto& [path, file] : files_) out.emplace_back(file.bytes);
  return out;
}

std::vector<std::optional<Sha256>> Series::sums() const {
  std::vector<std::optional<Sha256>> out;
  out.reserve(files_.size());
  for (const auto& [path, file] : files_) out.push_back(file.sum);
  return out;
}

void Series::take(ObjectBatch& batch) {
  for (const git_oid& id : batch.keep_in(memory_, bytes_)) ids_.insert(id);
}

void Series::moved(const std::string& ref, const std::optional<git_oid>& before, const git_oid& id,
                   std::string reason, const std::vector<std::string>& replaced) {
  if (!landing_) landing_ = Landing{ref, before, id, {}, {}};
  landing_->tip = id;
  landing_->reason = std::move(reason);
  for (const std::string& folder : replaced) {
    auto& all = landing_->replaced;
    if (std::find(all.begin(), all.end(), folder) == all.end()) all.push_back(folder);
  }
}

void Repository::begin_series() {
  require_writes();
  require_settled();
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, impl_->repo.get());
  git_odb_backend* memory = nullptr;
  check(git_mempack_new(&memory), "open the objects");
  check(git_odb_add_backend(odb.get(), memory, before_the_disk), "open the objects");
  try {
    impl_->series = std::make_unique<Series>(*memory, impl_->git_folder());
    impl_->finish_pending();
  } catch (...) {
    if (impl_->series) {
      drop_series();
    } else {
      impl_->reopen();
    }
    throw;
  }
}

void Repository::land_series() {
  try {
    impl_->land_series();
  } catch (...) {
    drop_series();
    throw;
  }
  drop_series();
}

// The object store goes with it: its memory would take in whatever is written next, and what libgit2 has read
// of a series that did not land it would take for stored.
void Repository::drop_series() noexcept {
  if (!impl_->series) return;
  impl_->series.reset();
  try {
    impl_->reopen();
  } catch (const Error& error) {
    impl_->held = error;
  }
}

void Repository::Impl::land_series() {
  if (!series || !series->landing()) return;
  const std::filesystem::path pack_folder = git_folder() / "objects" / "pack";
  std::error_code failed;
  if (std::filesystem::create_directory(pack_folder, failed)) sync_folder(pack_folder.parent_path());
  PackHold hold;
  pack_by_path(*repo, pack_folder, series->ids(), Compression::fast, &hold);
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, repo.get());
  check(git_odb_refresh(odb.get()), "look through the objects");
  (void)known.ids(git_folder(), series->contents(), series->sums());
  known.save(git_folder());
  const Series::Landing& to = *series->landing();
  move_line(to.ref, to.before, to.tip, to.reason, to.replaced, {}, {});
}

std::size_t Repository::series_bytes() const {
  return impl_->series ? impl_->series->bytes() : 0;
}

}  // namespace keepway::store
