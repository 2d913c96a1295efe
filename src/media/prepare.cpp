#include "media/prepare.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <random>

#include "keepway/text.hpp"
#include "media/fat_write.hpp"
#include "media/slot_write.hpp"

namespace keepway::media {
namespace {

const std::string empty_sector(boot_bytes, '\0');

// A new volume up to its data, which needs no content.
struct Fresh {
  std::uint64_t offset = 0;
  std::string bytes;
};

std::vector<Fresh> make_fresh(const PreparePlan& plan) {
  const Geometry& geometry = geometry_of(plan.request.size);
  std::random_device serial;  // a PC recognises volumes by their number: no two have the same
  std::vector<Fresh> all;
  for (const PreparePlan::Place& place : plan.places) {
    Kept kept;
    kept.reserved = make_boot_sector(geometry, static_cast<std::uint32_t>(serial()), place.label);
    kept.label = place.label;
    std::string bytes = make_volume(geometry, kept, {});
    bytes.resize(static_cast<std::size_t>(geometry.data_at()));
    all.push_back({place.offset, std::move(bytes)});
  }
  return all;
}

bool holds_anything(const Volume& volume) {
  return !volume.files.empty() || !volume.empty_folders.empty() || !volume.flaws.empty() ||
         volume.free_clusters != volume.geometry.clusters();
}

// The order is what a cut needs, at any sector. With the root folder's first sector the old files are gone,
// all at once. The first sector of the first FAT stays until the new boot sector is there: by it the old
// volume is recognised, and by its second FAT the new one.
void write_fresh(FileDisk& disk, const Fresh& fresh, const Geometry& geometry, const Volume* old, bool sync,
                 const BeforeWrite& before_write) {
  const auto write = [&](std::uint64_t offset, std::string_view bytes) {
    if (before_write) before_write();
    disk.write(offset, bytes);
    if (sync) disk.sync();
  };
  const std::string_view bytes = fresh.bytes;
  if (old != nullptr && holds_anything(*old)) {
    const std::uint64_t root = old->geometry.root_at();
    const bool same_place = root == geometry.root_at();
    write(old->offset + root, same_place ? bytes.substr(static_cast<std::size_t>(root), boot_bytes)
                                         : std::string_view(empty_sector));
  }
  const auto fat = static_cast<std::size_t>(geometry.fat_at(0));
  write(fresh.offset + fat + boot_bytes, bytes.substr(fat + boot_bytes));
  write(fresh.offset, bytes.substr(0, fat));
  write(fresh.offset + fat, bytes.substr(fat, boot_bytes));
}

// After all are written: a medium that is smaller than it says has put the last over the first.
void read_back(const std::filesystem::path& path, const PreparePlan& plan, const std::vector<Fresh>& all) {
  const FileDisk again(path, FileDisk::Use::read);
  for (std::size_t i = 0; i < all.size(); ++i) {
    std::string back;
    const bool same = again.read(all[i].offset, all[i].bytes.size(), back) && back == all[i].bytes;
    const std::optional<Volume> volume = same ? survey(again, all[i].offset) : std::nullopt;
    if (volume && !holds_anything(*volume) && volume->label == plan.places[i].label) continue;
    throw Error(ErrorKind::store,
                fmt::format("slot {} differs from what was written when read back", plan.places[i].number),
                "do not use this medium: it is worn, or smaller than it says",
                Place{printable(path.native())});
  }
}

void write_new_image(const PreparePlan& plan, const BeforeWrite& before_write) {
  NewFile file(plan.request.path);
  if (::ftruncate(file.fd().get(), static_cast<off_t>(plan.bytes)) != 0) {
    fail(ErrorKind::store, "cannot be made so large", errno, "check the free space on the disk",
         plan.request.path);
  }
  const std::vector<Fresh> all = make_fresh(plan);
  FileDisk disk(file.temporary(), FileDisk::Use::write);
  for (const Fresh& fresh : all)
    write_fresh(disk, fresh, geometry_of(plan.request.size), nullptr, false, before_write);
  disk.sync();
  read_back(file.temporary(), plan, all);
  file.commit();
}

bool same_slots(const std::vector<Slot>& a, const std::vector<Slot>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const Slot& x, const Slot& y) {
    return x.offset == y.offset && x.size == y.size && x.label == y.label && x.free_bytes == y.free_bytes &&
           std::equal(x.files.begin(), x.files.end(), y.files.begin(), y.files.end(),
                      [](const SlotFile& f, const SlotFile& g) {
                        return f.name == g.name && f.size == g.size && f.modified == g.modified;
                      });
  });
}

// The volumes that are there. Between the plan and the person's answer the stick may have been changed for
// another, which is refused.
std::vector<Volume> volumes_of(const PreparePlan& plan) {
  std::vector<Volume> volumes;
  const PreparePlan now = plan_prepare(plan.request, volumes);
  if (now.exists == plan.exists && now.bytes == plan.bytes && now.other == plan.other &&
      same_slots(now.replaced, plan.replaced) && same_slots(now.left, plan.left))
    return volumes;
  throw Error(ErrorKind::refused, "is not as it was shown any more, and nothing was written",
              "look at it again: the same command shows it", Place{printable(plan.request.path.native())});
}

}  // namespace

std::vector<std::filesystem::path> prepare(const PreparePlan& plan, const WriteOptions& options,
                                           const BeforeWrite& before_write) {
  const std::filesystem::path& path = plan.request.path;
  if (!plan.exists) {
    write_new_image(plan, before_write);
    return {};
  }
  FileDisk disk(path, FileDisk::Use::write);
  if (disk.is_device() && !options.device) {
    throw Error(ErrorKind::refused, "a block device, which is written only with --device",
                "make sure that it is the right one, then add --device", Place{printable(path.native())});
  }
  const std::vector<Volume> volumes = volumes_of(plan);
  std::vector<std::filesystem::path> kept;
  for (const Slot& slot : plan.replaced) {
    if (!options.keep) break;
    const auto old = std::find_if(volumes.begin(), volumes.end(),
                                  [&](const Volume& volume) { return volume.offset == slot.offset; });
    if (old == volumes.end() || (!holds_anything(*old) && old->deleted.empty())) continue;
    kept.push_back(kept_path(path, slot.number, disk.is_device(), options));
    write_new_file(kept.back(), read_slot(disk, *old, {printable(path.native())}), {}, before_write);
  }
  const std::vector<Fresh> all = make_fresh(plan);
  for (const Fresh& fresh : all) {
    const auto old = std::find_if(volumes.begin(), volumes.end(),
                                  [&](const Volume& volume) { return volume.offset == fresh.offset; });
    write_fresh(disk, fresh, geometry_of(plan.request.size), old == volumes.end() ? nullptr : &*old, true,
                before_write);
  }
  disk.sync();
  read_back(path, plan, all);
  return kept;
}

std::vector<std::filesystem::path> prepare(const PreparePlan& plan, const WriteOptions& options) {
  return prepare(plan, options, {});
}

}  // namespace keepway::media
