#include "media/other_volume.hpp"

#include <fmt/format.h>

#include "media/fat_format.hpp"
#include "media/system.hpp"

namespace keepway::media {
namespace {

// FAT-1.03: section 3.1 (all FAT volumes) and 3.3 (FAT32).
constexpr std::size_t at_sectors_a_fat16 = 22;  // 0 on FAT32
constexpr std::size_t at_sectors_a_fat32 = 36;
// The exFAT file system specification (Microsoft, 2019), 3.1.2: FileSystemName.
constexpr std::size_t at_exfat_name = 3;
constexpr std::string_view exfat_name = "EXFAT   ";
// The first sector's list of four partitions: UEFI specification 2.10, 5.2.1, table 5.2 and 5.3.
constexpr std::size_t at_partitions = 446;
constexpr std::size_t partition_bytes = 16;
constexpr std::size_t partitions = 4;
constexpr std::size_t at_first_sector = 8;
constexpr std::uint64_t sector_bytes = 512;

bool has_end_mark(std::string_view sector) {
  return sector.size() >= boot_bytes && sector.substr(at_end_mark, 2) == "\x55\xAA";
}

bool is_power_of_two(std::uint32_t value) {
  return value != 0 && (value & (value - 1)) == 0;
}

std::optional<std::string> what_is(std::string_view sector) {
  if (!has_end_mark(sector)) return std::nullopt;
  if (sector.substr(at_exfat_name, exfat_name.size()) == exfat_name) return "exFAT";
  const auto byte = [&](std::size_t at) { return static_cast<unsigned char>(sector[at]); };
  const std::uint32_t bytes = get16(sector, at_sector);
  const bool fat32 = bytes >= boot_bytes && bytes <= 4096 && is_power_of_two(bytes) &&
                     is_power_of_two(byte(at_sectors_a_cluster)) && get16(sector, at_reserved) > 0 &&
                     byte(at_fats) >= 1 && byte(at_fats) <= 4 && get16(sector, at_root_entries) == 0 &&
                     get16(sector, at_sectors_a_fat16) == 0 && get32(sector, at_sectors_a_fat32) > 0;
  return fat32 ? std::optional<std::string>("FAT32") : std::nullopt;
}

}  // namespace

std::optional<std::string> other_volume(const Disk& disk) {
  std::string first;
  if (!disk.read(0, boot_bytes, first)) return std::nullopt;
  if (auto found = what_is(first)) return found;
  if (!has_end_mark(first)) return std::nullopt;
  for (std::size_t i = 0; i < partitions; ++i) {
    const std::uint64_t at =
        get32(first, at_partitions + i * partition_bytes + at_first_sector) * sector_bytes;
    std::string sector;
    if (at == 0 || !disk.read(at, boot_bytes, sector)) continue;
    if (auto found = what_is(sector)) return found;
  }
  return std::nullopt;
}

void refuse_other_volume(const std::string& what, const std::filesystem::path& path) {
  throw Error(ErrorKind::input, fmt::format("is a {} volume; keepway itself reads FAT12 and FAT16", what),
              "have the computer mount it, and give the folder that the files are in",
              Place{printable(path.native())});
}

}  // namespace keepway::media
