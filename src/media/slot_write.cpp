#include "media/slot_write.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>
#include <sys/stat.h>

#include <chrono>

#include "keepway/sha256.hpp"
#include "media/fat_write.hpp"
#include "media/slots.hpp"

namespace keepway::media {

namespace {

constexpr std::size_t part_bytes = 64U << 10U;

// What stays: all before the FATs, the label, and marks of bad clusters in any FAT copy.
Kept kept_of(const Volume& volume, const std::string& old) {
  const Geometry& geometry = volume.geometry;
  Kept kept;
  kept.reserved = old.substr(0, static_cast<std::size_t>(geometry.fat_at(0)));
  kept.label = volume.label;
  kept.label_time = volume.label_time;
  std::vector<bool> bad(geometry.clusters() + first_cluster, false);
  for (std::uint32_t copy = 0; copy < geometry.fats; ++copy) {
    const std::string_view bytes = std::string_view(old).substr(
        static_cast<std::size_t>(geometry.fat_at(copy)), static_cast<std::size_t>(geometry.fat_bytes()));
    if (!fat_begins_right(geometry, bytes)) continue;
    const std::vector<std::uint16_t> fat = unpack_fat(geometry, bytes);
    for (std::size_t i = first_cluster; i < fat.size(); ++i) bad[i] = bad[i] || fat[i] == fat_bad;
  }
  for (std::size_t i = 0; i < bad.size(); ++i) {
    if (bad[i]) kept.bad.push_back(static_cast<std::uint16_t>(i));
  }
  return kept;
}

struct Change {
  const std::string& old;
  std::string fresh;
  std::string unfinished;  // the root folder's first sector meanwhile
};

// The root folder's first sector is what a cut needs: with it the old files are gone, all at once, and with
// it the new ones are there, all at once, when everything else is known to be on the medium. Boot sector and
// first FAT entries stay, so that the volume is one throughout. False, with no file shown, where what was
// written does not read back.
bool replace_volume(FileDisk& disk, const Volume& volume, const Change& change, const OnProgress& on_progress,
                    const BeforeWrite& before_write) {
  std::uint64_t done = 0;
  const auto write = [&](std::uint64_t at, std::string_view bytes) {
    if (before_write) before_write();
    disk.write(volume.offset + at, bytes);
  };
  const auto root = static_cast<std::size_t>(volume.geometry.root_at());
  std::string meanwhile = change.fresh;
  meanwhile.replace(root, boot_bytes, change.unfinished);
  write(root, change.unfinished);
  disk.sync();
  for (std::size_t at = 0; at < meanwhile.size(); at += part_bytes) {
    const std::string_view part = std::string_view(meanwhile).substr(at, part_bytes);
    if (on_progress) on_progress("KiB written", done >> 10U, meanwhile.size() >> 10U);
    done += part.size();
    if (part != std::string_view(change.old).substr(at, part_bytes)) write(at, part);
  }
  disk.sync();
  std::string back;
  if (!disk.read(volume.offset, meanwhile.size(), back) || back != meanwhile) return false;
  write(root, std::string_view(change.fresh).substr(root, boot_bytes));
  disk.sync();
  return true;
}

}  // namespace

std::string read_slot(const Disk& disk, const Volume& volume, const Place& place) {
  const std::uint64_t size = volume.geometry.bytes();
  if (size > max_set_bytes || size > disk.size() - volume.offset) {
    throw Error(ErrorKind::refused, "the slot is larger than its medium or than 512 MiB, and is not written",
                "write to another slot", place);
  }
  std::string bytes;
  if (!disk.read(volume.offset, static_cast<std::size_t>(size), bytes)) {
    throw Error(ErrorKind::store, "the slot's old content cannot be read",
                "do not use this medium; write to another", place);
  }
  return bytes;
}

std::filesystem::path kept_path(const std::filesystem::path& path, std::size_t slot, bool device,
                                const WriteOptions& options) {
  const std::filesystem::path folder = !options.keep_in.empty() ? options.keep_in
                                       : device                 ? std::filesystem::current_path()
                                                                : path.parent_path();
  const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  const std::string stem =
      fmt::format("{}.slot-{}.before-{:%Y%m%dT%H%M%SZ}", path.filename().native(), slot, fmt::gmtime(now));
  std::filesystem::path out = folder / (stem + ".img");
  // Two in one second.
  for (int again = 2; std::filesystem::exists(std::filesystem::symlink_status(out)); ++again) {
    out = folder / fmt::format("{}-{}.img", stem, again);
  }
  return out;
}

std::filesystem::path write_slot(const Set& set, const std::filesystem::path& path, std::size_t slot,
                                 const WriteOptions& options, const BeforeWrite& before_write) {
  const Place place{printable(path.native())};
  FileDisk disk(path, FileDisk::Use::write);
  if (disk.is_device() && !options.device) {
    throw Error(ErrorKind::refused, "a block device, which is written only with --device",
                "make sure that it is the right one, then add --device", place);
  }
  const std::vector<Volume> volumes = find_volumes(disk);
  const Volume& volume = pick(volumes, slot, path);
  const std::string old = read_slot(disk, volume, place);
  if (!options.seen.empty() && sha256_hex(old) != options.seen) {
    throw Error(ErrorKind::refused, "is not as it was shown any more, and nothing was written",
                "look at the slot again", place);
  }
  const Set named = with_short_names(set);
  const Kept stays = kept_of(volume, old);
  const std::string fresh = make_volume(volume.geometry, stays, named);

  std::filesystem::path kept;
  if (options.keep) {
    kept = kept_path(path, slot, disk.is_device(), options);
    write_new_file(kept, old, {}, before_write);
  }
  const std::string old_is_in =
      options.keep ? fmt::format("; the old content is in {}", printable(kept.native())) : "";
  bool is_same = true;
  if (fresh != old) {
    try {
      is_same = replace_volume(disk, volume, {old, fresh, unfinished_root(stays)}, options.on_progress,
                               before_write);
    } catch (const Error& error) {
      throw Error(
          error.kind(), error.message(),
          fmt::format("{}; 'keepway slots' shows whether the slot has its old files, none or the new ones: "
                      "if none, write it again{}",
                      error.remedy(), old_is_in),
          place);
    }
  }
  const FileDisk again(path, FileDisk::Use::read);
  std::string back;
  if (!is_same || !again.read(volume.offset, fresh.size(), back) || sha256(back) != sha256(fresh)) {
    throw Error(ErrorKind::store, "the slot differs from what was written when read back",
                "do not use this medium" + old_is_in, place);
  }
  const std::optional<Volume> written = survey(again, volume.offset);
  check_same(named, written ? read_volume(again, *written, false) : Set{}, path);
  return kept;
}

std::filesystem::path write_slot(const Set& set, const std::filesystem::path& path, std::size_t slot,
                                 const WriteOptions& options) {
  return write_slot(set, path, slot, options, {});
}

Target describe_target(const std::filesystem::path& path) {
  Target target;
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0) return target;
  target.exists = true;
  if (!S_ISREG(status.st_mode) && !S_ISBLK(status.st_mode)) return target;
  const FileDisk disk(path, FileDisk::Use::read);
  target.device = disk.is_device();
  target.bytes = disk.size();
  target.slots = describe(find_volumes(disk));
  return target;
}

Target describe_target(const std::filesystem::path& path, std::size_t slot, const OnProgress& on_progress) {
  const FileDisk disk(path, FileDisk::Use::read);
  const std::vector<Volume> volumes = find_volumes(disk, on_progress);
  Target target{true, disk.is_device(), disk.size(), describe(volumes), {}};
  target.digest = sha256_hex(read_slot(disk, pick(volumes, slot, path), {printable(path.native())}));
  return target;
}

}  // namespace keepway::media
