#include "media/places.hpp"

#include <algorithm>
#include <numeric>

#include "media/other_volume.hpp"
#include "media/slots.hpp"

namespace keepway::media {
namespace {

// Boot sector, FATs and root folder of a 1.44 MB volume: 1 + 2 * 9 + 14 sectors (ECMA-107).
constexpr std::size_t system_bytes = 33 * boot_bytes;
// Guessed distances are multiples of it: that of volumes without gaps between them, 45 * 32 KiB, is one, and
// so are those that follow the blocks in which flash memory is erased (common practice, no source).
constexpr std::uint64_t step_bytes = 32U << 10U;
constexpr std::uint64_t most_places = 100'000;  // our own bound

std::uint64_t largest(const std::vector<Volume>& volumes) {
  std::uint64_t bytes = 0;
  for (const Volume& volume : volumes) bytes = std::max(bytes, volume.geometry.bytes());
  return bytes;
}

// As many of its first bytes as are a volume's own are looked at, `size` at most.
EmptyPlace::Holds holds_at(const Disk& disk, std::uint64_t offset, std::uint64_t size) {
  std::string bytes;
  size = std::min<std::uint64_t>(system_bytes, size);
  if (!disk.read(offset, static_cast<std::size_t>(size), bytes)) return EmptyPlace::Holds::unreadable;
  const char first = bytes.front();
  const bool blank =
      (first == '\0' || first == '\xFF') && bytes.find_first_not_of(first) == std::string::npos;
  return blank ? EmptyPlace::Holds::nothing : EmptyPlace::Holds::data;
}

// Three or more, each as far from the next, with room for few between: these are neighbours, of places that
// are larger than their volumes, and not every second or third of smaller ones.
bool are_neighbours(const std::vector<Volume>& volumes, std::uint64_t apart, std::uint64_t size) {
  constexpr std::size_t least = 3;
  constexpr std::uint64_t most_room = 4;
  if (volumes.size() < least || apart >= most_room * size) return false;
  return volumes.back().offset - volumes.front().offset == (volumes.size() - 1) * apart;
}

std::vector<EmptyPlace> empty_places(const Disk& disk, const std::vector<Volume>& volumes,
                                     const Places& places) {
  std::vector<EmptyPlace> empty;
  if (places.spacing == 0) return empty;
  const std::uint64_t size = largest(volumes);
  const std::uint64_t end = std::min(disk.size(), max_scan_bytes);
  if (end / places.spacing > most_places) return empty;  // volumes smaller than any floppy
  auto next = volumes.begin();
  std::size_t number = 1;
  for (std::uint64_t at = places.first; at + size <= end; at += places.spacing, ++number) {
    while (next != volumes.end() && next->offset < at) ++next;
    if (next != volumes.end() && next->offset == at) continue;
    empty.push_back({number, at, holds_at(disk, at, size)});
  }
  return empty;
}

}  // namespace

Places places_of(const std::vector<Volume>& volumes) {
  if (volumes.empty()) return {};
  std::uint64_t apart = volumes.size() == 1 ? volumes.front().offset : 0;
  for (std::size_t i = 1; i < volumes.size(); ++i)
    apart = std::gcd(apart, volumes[i].offset - volumes[i - 1].offset);
  const std::uint64_t size = largest(volumes);
  if (size == 0 || apart < size) return {volumes.front().offset, 0, false};
  Places places{0, apart, apart >= 2 * size || volumes.size() == 1};
  if (places.guessed && are_neighbours(volumes, apart, size)) {
    places.first = volumes.front().offset % apart;
    return places;
  }
  for (std::uint64_t parts = apart / size; parts > 1; --parts) {
    if (apart % (parts * step_bytes) != 0) continue;
    places.spacing = apart / parts;
    break;
  }
  places.first = volumes.front().offset % places.spacing;
  return places;
}

void number_by_place(std::vector<Volume>& volumes) {
  const Places places = places_of(volumes);
  for (std::size_t i = 0; i < volumes.size(); ++i) {
    volumes[i].number =
        places.spacing == 0
            ? i + 1
            : static_cast<std::size_t>((volumes[i].offset - places.first) / places.spacing + 1);
  }
}

Stick find_stick(const std::filesystem::path& path, const OnProgress& on_progress) {
  const FileDisk disk(path, FileDisk::Use::read);
  const std::vector<Volume> volumes = find_volumes(disk, on_progress);
  if (volumes.empty()) {
    if (const auto other = other_volume(disk)) refuse_other_volume(*other, path);
  }
  const Places places = places_of(volumes);
  return {describe(volumes), empty_places(disk, volumes, places), places.spacing, places.guessed};
}

}  // namespace keepway::media
