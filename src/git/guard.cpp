#include "git/guard.hpp"

#include <git2/sys/odb_backend.h>
#include <git2/sys/repository.h>

#include "git/loose.hpp"
#include "git/object_folders.hpp"
#include "git/pack_bounds.hpp"
#include "git/plain_files.hpp"

namespace keepway::store {
namespace {

namespace fs = std::filesystem;

// libgit2's own order: packs before loose objects.
constexpr int of_packs = 2;
constexpr int of_loose = 1;

// A store of the sound packs and of all loose objects. It sees no pack that comes later.
OdbHandle without_bad_packs(const std::vector<fs::path>& folders, std::uint64_t max_size) {
  auto odb = take<OdbHandle>("open the objects", git_odb_new);
  const auto add = [&](git_odb_backend* backend, int order, bool own) {
    check(own ? git_odb_add_backend(odb.get(), backend, order)
              : git_odb_add_alternate(odb.get(), backend, order),
          "open the objects");
  };
  for (const fs::path& objects : folders) {
    const bool own = objects == folders.front();
    git_odb_backend* backend = nullptr;
    constexpr int usual_compression = -1;
    constexpr int synced = 1;
    check(git_odb_backend_loose(&backend, objects.c_str(), usual_compression, synced, 0, 0),
          "open the objects");
    add(backend, of_loose, own);
    for (const fs::path& index : sound_indexes(objects / "pack", max_size)) {
      if (git_odb_backend_one_pack(&backend, index.c_str()) == 0) add(backend, of_packs, own);
    }
  }
  return odb;
}

std::optional<PackFault> fault_in_objects(const fs::path& objects, std::uint64_t max_size,
                                          FollowedPacks* followed) {
  for (const fs::path& folder : object_folders(objects)) {
    if (auto fault = fault_in_packs(folder / "pack", max_size, followed)) return fault;
  }
  return std::nullopt;
}

// Those that are borrowed may be as damaged as one's own.
void guard_all_loose(git_odb& odb, const fs::path& objects) {
  for (const fs::path& folder : object_folders(objects)) guard_loose(odb, folder);
}

// The first of their packs that must not be followed.
std::optional<PackFault> fault_in_objects(const fs::path& objects, std::uint64_t max_size) {
  // Bounds of size are for what a stranger has, of which nothing is remembered.
  std::optional<FollowedPacks> followed;
  if (max_size == any_size) followed.emplace(objects.parent_path());
  return fault_in_objects(objects, max_size, followed ? &*followed : nullptr);
}

}  // namespace

void remember_packs(const fs::path& objects) noexcept {
  try {
    FollowedPacks followed(objects.parent_path());
    if (!fault_in_objects(objects, any_size, &followed)) followed.save();
  } catch (...) {  // NOLINT(bugprone-empty-catch): the next command follows them, then
  }
}

OdbHandle open_objects(const fs::path& objects) {
  start_library();
  require_plain_files(objects.parent_path());
  auto odb = fault_in_objects(objects, any_size)
                 ? without_bad_packs(object_folders(objects), any_size)
                 : take<OdbHandle>("open the objects", git_odb_open, objects.c_str());
  guard_all_loose(*odb, objects);
  return odb;
}

std::optional<PackFault> guard(git_repository& repo, std::uint64_t max_size) {
  const fs::path objects = fs::path(git_repository_commondir(&repo)) / "objects";
  auto fault = fault_in_objects(objects, max_size);
  if (fault) {
    const OdbHandle odb = without_bad_packs(object_folders(objects), max_size);
    check(git_repository_set_odb(&repo, odb.get()), "open the objects");
  }
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, &repo);
  guard_all_loose(*odb, objects);
  return fault;
}

}  // namespace keepway::store
