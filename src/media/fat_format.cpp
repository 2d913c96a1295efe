#include "media/fat_format.hpp"

#include <algorithm>

#include "keepway/time.hpp"

namespace keepway::media {

namespace {

// More offsets in the boot sector (ECMA-107, FDC descriptor and extended FDC descriptor).
constexpr std::size_t at_name = 3;
constexpr std::size_t at_sectors16 = 19;
constexpr std::size_t at_media = 21;
constexpr std::size_t at_sectors_a_fat = 22;
constexpr std::size_t at_sectors_a_track = 24;
constexpr std::size_t at_sides = 26;
constexpr std::size_t at_sectors32 = 32;  // FAT-1.03, BPB_TotSec32
constexpr std::size_t at_extension = 38;  // extended boot signature 29 hex: serial, label and type follow
constexpr std::size_t at_serial = 39;
constexpr std::size_t at_label = 43;
constexpr std::size_t at_fat_type = 54;
constexpr std::uint32_t max_fats = 4;       // FAT-1.03 asks for 2 and allows others; mkfs.fat makes 1 to 4
constexpr std::uint32_t max_sector = 4096;  // FAT-1.03, BPB_BytsPerSec
constexpr std::uint32_t max_sectors_a_cluster = 128;  // FAT-1.03, BPB_SecPerClus

bool power_of_two(std::uint32_t value) {
  return value != 0 && (value & (value - 1)) == 0;
}

constexpr int first_year = 1980;  // ECMA-107: years count from 1980 in seven bits
constexpr int last_year = first_year + 127;

}  // namespace

std::optional<Geometry> parse_boot_sector(std::string_view bytes) {
  if (bytes.size() < boot_bytes) return std::nullopt;
  const auto byte = [&](std::size_t at) { return static_cast<unsigned char>(bytes[at]); };
  Geometry out;
  out.sector = get16(bytes, at_sector);
  if (out.sector < boot_bytes || out.sector > max_sector || !power_of_two(out.sector)) return std::nullopt;
  out.sectors_a_cluster = byte(at_sectors_a_cluster);
  if (!power_of_two(out.sectors_a_cluster) || out.sectors_a_cluster > max_sectors_a_cluster)
    return std::nullopt;
  out.reserved = get16(bytes, at_reserved);
  out.fats = byte(at_fats);
  out.root_entries = get16(bytes, at_root_entries);
  out.media = byte(at_media);
  out.sectors_a_fat = get16(bytes, at_sectors_a_fat);
  out.sectors = get16(bytes, at_sectors16);
  if (out.sectors == 0) out.sectors = get32(bytes, at_sectors32);
  if (out.reserved == 0 || out.fats == 0 || out.fats > max_fats || out.root_entries == 0) return std::nullopt;
  if (out.media != 0xF0 && out.media < 0xF8) return std::nullopt;  // FAT-1.03, BPB_Media
  if (out.sectors_a_fat == 0 || out.bytes() <= out.data_at()) return std::nullopt;
  const std::uint64_t clusters = (out.bytes() - out.data_at()) / out.cluster_bytes();
  if (clusters == 0 || clusters >= fat16_clusters_below) return std::nullopt;
  if (out.fat_used_bytes() > out.fat_bytes()) return std::nullopt;
  return out;
}

std::string make_boot_sector(const Geometry& geometry, std::uint32_t serial, std::string_view label) {
  std::string out(geometry.sector, '\0');
  // A jump (FAT-1.03, BS_jmpBoot, its first form) over the descriptor to a loop that does nothing: the volume
  // starts no computer.
  out.replace(0, 3, "\xEB\x3C\x90");
  out.replace(0x3E, 2, "\xEB\xFE");
  out.replace(at_name, 8, "KEEPWAY ");
  put16(out, at_sector, geometry.sector);
  out[at_sectors_a_cluster] = static_cast<char>(geometry.sectors_a_cluster);
  put16(out, at_reserved, geometry.reserved);
  out[at_fats] = static_cast<char>(geometry.fats);
  put16(out, at_root_entries, geometry.root_entries);
  const bool small = geometry.sectors <= 0xFFFF;  // FAT-1.03, BPB_TotSec16
  put16(out, at_sectors16, small ? geometry.sectors : 0);
  put32(out, at_sectors32, small ? 0 : geometry.sectors);
  out[at_media] = static_cast<char>(geometry.media);
  put16(out, at_sectors_a_fat, geometry.sectors_a_fat);
  put16(out, at_sectors_a_track,
        geometry.sectors == small_floppy.sectors ? floppy_sectors_a_track / 2 : floppy_sectors_a_track);
  put16(out, at_sides, floppy_sides);
  out[at_extension] = 0x29;
  put32(out, at_serial, serial);
  std::string eleven(label.empty() ? "NO NAME" : label);
  eleven.resize(label_bytes, ' ');
  out.replace(at_label, label_bytes, eleven);
  out.replace(at_fat_type, 8, geometry.is_fat12() ? "FAT12   " : "FAT16   ");
  out.replace(at_end_mark, 2, "\x55\xAA");
  return out;
}

// FAT12 entries lie two in three bytes, the lower bits of the even one first (ECMA-107, FAT).
std::vector<std::uint16_t> unpack_fat(const Geometry& geometry, std::string_view bytes) {
  std::vector<std::uint16_t> fat(geometry.clusters() + first_cluster, fat_free);
  const bool fat12 = geometry.is_fat12();
  for (std::size_t i = 0; i < fat.size(); ++i) {
    const std::size_t at = fat12 ? i * 3 / 2 : i * 2;
    if (at + 2 > bytes.size()) break;
    std::uint32_t value = get16(bytes, at);
    if (fat12) {
      value = i % 2 == 0 ? value & 0xFFFU : value >> 4U;
      if (value >= 0xFF0) value |= 0xF000U;
    }
    fat[i] = value > fat_bad ? fat_end : static_cast<std::uint16_t>(value);
  }
  return fat;
}

std::string pack_fat(const Geometry& geometry, const std::vector<std::uint16_t>& fat) {
  std::string bytes(geometry.fat_bytes(), '\0');
  const bool fat12 = geometry.is_fat12();
  for (std::size_t i = 0; i < fat.size(); ++i) {
    if (!fat12) {
      put16(bytes, i * 2, fat[i]);
      continue;
    }
    const std::size_t at = i * 3 / 2;
    const std::uint32_t value = fat[i] & 0xFFFU;
    const std::uint32_t old = get16(bytes, at);
    put16(bytes, at, i % 2 == 0 ? (old & 0xF000U) | value : (old & 0x000FU) | (value << 4U));
  }
  return bytes;
}

bool fat_begins_right(const Geometry& geometry, std::string_view bytes) {
  return bytes.size() >= 3 && static_cast<unsigned char>(bytes[0]) == geometry.media && bytes[1] == '\xFF' &&
         bytes[2] == '\xFF';
}

// Date: year, month in 4 bits, day in 5. Time: hour, minute in 6 bits, seconds by two in 5 (ECMA-107,
// directory entry).
std::optional<std::int64_t> from_dos(std::uint16_t date, std::uint16_t time) {
  const unsigned second = (time & 31U) * 2;
  if (second > 59) return std::nullopt;
  return at_wall_time({first_year + (date >> 9), static_cast<int>((date >> 5U) & 15U), date & 31, time >> 11,
                       static_cast<int>((time >> 5U) & 63U), static_cast<int>(second)});
}

DosTime to_dos(std::optional<std::int64_t> seconds) {
  if (!seconds) return {};
  const WallTime at = wall_time(*seconds);
  if (at.year < first_year || at.year > last_year) return {};
  const auto part = [](int number, unsigned bits) { return static_cast<unsigned>(number) << bits; };
  const unsigned date = part(at.year - first_year, 9) | part(at.month, 5) | part(at.day, 0);
  const unsigned time = part(at.hour, 11) | part(at.minute, 5) | part(at.second / 2, 0);
  return {static_cast<std::uint16_t>(date), static_cast<std::uint16_t>(time)};
}

}  // namespace keepway::media
