#include "media/slots.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "media/fat_folder.hpp"
#include "media/fat_volume.hpp"
#include "media/other_volume.hpp"
#include "media/places.hpp"

namespace keepway::media {

namespace {

// Our own bounds, not a standard's.
constexpr std::size_t scan_bytes = 1U << 20U;
// Damaged volumes do not hide what lies inside them, so that hostile media could hold very many.
constexpr std::size_t max_damaged = 256;
// Sound ones do, but may be as small as four sectors, or hold nothing but names, which take ten times their
// room in memory.
constexpr std::size_t max_volumes = 100'000;

// What a volume is recognised by, each a name or a text in memory.
std::size_t names_in(const Volume& volume) {
  return volume.files.size() + volume.deleted.size() + volume.empty_folders.size() + volume.flaws.size();
}

[[noreturn]] void refuse_more(std::size_t most, const char* of_what) {
  throw Error(ErrorKind::input, fmt::format("the medium holds more than {} {}", most, of_what),
              "copy the volume that you need into an image file of its own, and name that");
}

// Reads a chunk, or as many of its sectors as can be read; the others come as NUL bytes.
void read_chunk(const Disk& disk, std::uint64_t offset, std::size_t size, std::string& out) {
  if (disk.read(offset, size, out)) return;
  out.assign(size, '\0');
  std::string sector;
  for (std::size_t at = 0; at + boot_bytes <= size; at += boot_bytes) {
    if (disk.read(offset + at, boot_bytes, sector)) out.replace(at, boot_bytes, sector);
  }
}

}  // namespace

VolumeCondition condition_at(const Disk& disk, const Geometry& geometry, std::uint64_t offset) {
  if (geometry.data_at() > disk.size() - offset) return VolumeCondition::none;
  std::string bytes;
  for (std::uint32_t copy = 0; copy < geometry.fats; ++copy) {
    if (disk.read(offset + geometry.fat_at(copy), 3, bytes) && fat_begins_right(geometry, bytes))
      return VolumeCondition::sound;
  }
  if (!disk.read(offset + geometry.root_at(), geometry.sector, bytes)) return VolumeCondition::none;
  const FolderText root = parse_folder(bytes, true);
  const bool sane = std::all_of(root.entries.begin(), root.entries.end(), [&](const FolderEntry& entry) {
    return entry.deleted || (entry.good_name && (entry.start == 0 || geometry.holds(entry.start)));
  });
  const bool any = std::any_of(root.entries.begin(), root.entries.end(),
                               [](const FolderEntry& entry) { return !entry.deleted; });
  return any && sane ? VolumeCondition::damaged : VolumeCondition::none;
}

std::vector<Volume> find_volumes(const Disk& disk, const OnProgress& on_progress) {
  std::vector<Volume> volumes;
  std::set<std::uint64_t> file_starts;  // of damaged volumes: a file there may itself be an image
  std::size_t damaged = 0;
  std::size_t names = 0;
  const std::uint64_t end = std::min(disk.size(), max_scan_bytes);
  std::string chunk;
  std::uint64_t at = 0;
  while (at + boot_bytes <= end) {
    const std::uint64_t chunk_at = at;
    if (on_progress) on_progress("MiB looked through", at / scan_bytes, end / scan_bytes);
    read_chunk(disk, at, static_cast<std::size_t>(std::min<std::uint64_t>(scan_bytes, end - at)), chunk);
    while (at + boot_bytes <= chunk_at + chunk.size()) {
      const std::uint64_t here = at;
      at += boot_bytes;
      const auto geometry = parse_boot_sector(std::string_view(chunk).substr(here - chunk_at, boot_bytes));
      if (!geometry || file_starts.contains(here)) continue;
      const VolumeCondition condition = condition_at(disk, *geometry, here);
      if (condition == VolumeCondition::none ||
          (condition == VolumeCondition::damaged && ++damaged > max_damaged))
        continue;
      std::optional<Volume> volume = survey(disk, here);
      if (!volume) continue;
      if (condition == VolumeCondition::sound) {
        at = here + (geometry->bytes() + boot_bytes - 1) / boot_bytes * boot_bytes;
      } else {
        at = here + geometry->data_at();
        for (const VolumeFile& file : volume->files) {
          if (geometry->holds(file.start)) file_starts.insert(here + geometry->cluster_at(file.start));
        }
      }
      names += names_in(*volume);
      // One volume alone has bounds of its own, see survey().
      if (names > max_names && !volumes.empty())
        refuse_more(max_names, "files, deleted files, empty folders and faults on all its volumes together");
      if (volumes.size() == max_volumes) refuse_more(max_volumes, "volumes");
      volumes.push_back(std::move(*volume));
    }  // the next chunk begins at `at`, which may lie past this one's end
  }
  number_by_place(volumes);
  return volumes;
}

namespace {

Slot describe(const Volume& volume) {
  Slot slot;
  slot.number = volume.number;
  slot.offset = volume.offset;
  slot.size = volume.geometry.bytes();
  slot.label = volume.label;
  slot.label_time = volume.label_time;
  for (const VolumeFile& file : volume.files) slot.files.push_back({file.name, file.size, file.modified});
  for (const VolumeFile& file : volume.deleted) {
    slot.deleted.push_back({file.name, file.size, file.modified, file.readable});
  }
  slot.free_bytes = volume.free_bytes();
  slot.full = volume.full();
  slot.flaws = volume.flaws;
  return slot;
}

}  // namespace

std::vector<Slot> describe(const std::vector<Volume>& volumes) {
  std::vector<Slot> slots;
  slots.reserve(volumes.size());
  for (const Volume& volume : volumes) slots.push_back(describe(volume));
  return slots;
}

const Volume& pick(const std::vector<Volume>& volumes, std::optional<std::size_t> slot,
                   const std::filesystem::path& path) {
  const Place place{printable(path.native())};
  if (volumes.empty())
    throw Error(ErrorKind::input, "holds no FAT12 or FAT16 volume", "name an image or a stick", place);
  if (!slot && volumes.size() == 1) return volumes.front();
  const auto asked = std::find_if(volumes.begin(), volumes.end(),
                                  [&](const Volume& volume) { return slot && volume.number == *slot; });
  if (asked != volumes.end()) return *asked;
  constexpr std::size_t most = 12;
  std::string list;
  for (std::size_t i = 0; i < std::min(volumes.size(), most); ++i) {
    list +=
        fmt::format("{}slot {}: {} files", i == 0 ? "" : ", ", volumes[i].number, volumes[i].files.size());
    if (!volumes[i].label.empty()) list += fmt::format(" ({})", printable(volumes[i].label));
  }
  if (volumes.size() > most) list += fmt::format(" and {} slots more", volumes.size() - most);
  throw Error(ErrorKind::usage,
              slot ? fmt::format("slot {} holds no volume; there {}: {}", *slot,
                                 volumes.size() == 1 ? "is" : "are", list)
                   : fmt::format("holds {} volumes: {}", volumes.size(), list),
              "choose one with --slot N, counted from 1 ('keepway slots PATH' lists them)", place);
}

std::vector<Slot> find_slots(const std::filesystem::path& path) {
  const FileDisk disk(path, FileDisk::Use::read);
  const auto volumes = find_volumes(disk);
  if (volumes.empty()) {
    if (const auto other = other_volume(disk)) refuse_other_volume(*other, path);
  }
  return describe(volumes);
}

}  // namespace keepway::media
