// The FAT volume as it lies on a medium: numbers, packing and times.
//
// Sources: ECMA-107 (1995, the same text as ISO/IEC 9293:1994), "Volume and File Structure of Disk
// Cartridges for Information Interchange", for FAT12 and FAT16; the FAT32 File System Specification 1.03
// (2000), called FAT-1.03 below, for the count-of-clusters rule and what came after ECMA-107 (long names,
// 32-bit sector counts); ECMA-125 for the 1.44 MB cartridge.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace keepway::media {

inline std::uint16_t get16(std::string_view bytes, std::size_t at) {
  return static_cast<std::uint16_t>(static_cast<unsigned char>(bytes[at]) |
                                    (static_cast<unsigned char>(bytes[at + 1]) << 8U));
}
inline std::uint32_t get32(std::string_view bytes, std::size_t at) {
  return get16(bytes, at) | (static_cast<std::uint32_t>(get16(bytes, at + 2)) << 16U);
}
inline void put16(std::string& bytes, std::size_t at, std::uint32_t value) {
  bytes[at] = static_cast<char>(value & 0xFFU);
  bytes[at + 1] = static_cast<char>((value >> 8U) & 0xFFU);
}
inline void put32(std::string& bytes, std::size_t at, std::uint32_t value) {
  put16(bytes, at, value & 0xFFFFU);
  put16(bytes, at + 2, value >> 16U);
}

// The smallest unit a boot sector can begin at on a stick (ECMA-125: 512-byte sectors), and what of it
// describes the volume.
inline constexpr std::size_t boot_bytes = 512;

// Offsets in the boot sector that all FAT volumes have (ECMA-107, FDC descriptor; FAT-1.03, 3.1).
inline constexpr std::size_t at_sector = 11;
inline constexpr std::size_t at_sectors_a_cluster = 13;
inline constexpr std::size_t at_reserved = 14;
inline constexpr std::size_t at_fats = 16;
inline constexpr std::size_t at_root_entries = 17;
inline constexpr std::size_t at_end_mark = 510;  // signature word 55 AA

// Cluster numbers, FAT12 values widened to 16 bits (ECMA-107, FAT entry values; FAT-1.03).
inline constexpr std::uint16_t first_cluster = 2;
inline constexpr std::uint16_t fat_free = 0;
inline constexpr std::uint16_t fat_bad = 0xFFF7;
inline constexpr std::uint16_t fat_end = 0xFFFF;              // all of FFF8 to FFFF
inline constexpr std::uint32_t fat12_clusters_below = 4085;   // FAT-1.03, FAT type determination
inline constexpr std::uint32_t fat16_clusters_below = 65525;  // FAT-1.03, FAT type determination

// Directory entries (ECMA-107, directory; FAT-1.03, FAT directory structure).
inline constexpr std::size_t entry_bytes = 32;
inline constexpr std::size_t max_folder_bytes = 65536 * entry_bytes;  // FAT-1.03
inline constexpr unsigned char entry_free = 0x00;                     // this one and all that follow
inline constexpr unsigned char entry_deleted = 0xE5;                  // "may be used again"
inline constexpr unsigned char entry_e5 = 0x05;                       // stands for a first byte E5 (FAT-1.03)
inline constexpr unsigned char attribute_label = 0x08;
inline constexpr unsigned char attribute_folder = 0x10;
inline constexpr unsigned char attribute_archive = 0x20;
inline constexpr unsigned char attribute_long = 0x0F;       // FAT-1.03, long directory entries
inline constexpr unsigned char attribute_long_mask = 0x3F;  // FAT-1.03

// Offsets in a directory entry (ECMA-107, directory entry; the second from FAT-1.03, DIR_NTRes).
inline constexpr std::size_t at_attributes = 11;
inline constexpr std::size_t at_lower = 12;
inline constexpr std::size_t at_time = 22;
inline constexpr std::size_t at_date = 24;
inline constexpr std::size_t at_start = 26;
inline constexpr std::size_t at_size = 28;

// What the boot sector's FDC descriptor says (ECMA-107), and what follows from it. All offsets are bytes
// from the volume's start.
struct Geometry {
  std::uint32_t sector = 512;
  std::uint32_t sectors_a_cluster = 1;
  std::uint32_t reserved = 1;
  std::uint32_t fats = 2;
  std::uint32_t root_entries = 224;
  std::uint32_t sectors = 2880;
  std::uint32_t sectors_a_fat = 9;
  std::uint8_t media = 0xF0;

  [[nodiscard]] std::uint64_t bytes() const { return std::uint64_t{sectors} * sector; }
  [[nodiscard]] std::uint32_t cluster_bytes() const { return sectors_a_cluster * sector; }
  [[nodiscard]] std::uint64_t fat_bytes() const { return std::uint64_t{sectors_a_fat} * sector; }
  [[nodiscard]] std::uint64_t fat_at(std::uint32_t copy) const {
    return std::uint64_t{reserved} * sector + copy * fat_bytes();
  }
  [[nodiscard]] std::uint64_t root_at() const { return fat_at(fats); }
  [[nodiscard]] std::uint64_t root_bytes() const { return std::uint64_t{root_entries} * entry_bytes; }
  [[nodiscard]] std::uint64_t data_at() const {
    return root_at() + (root_bytes() + sector - 1) / sector * sector;
  }
  [[nodiscard]] std::uint32_t clusters() const {
    return static_cast<std::uint32_t>((bytes() - data_at()) / cluster_bytes());
  }
  [[nodiscard]] std::uint64_t cluster_at(std::uint32_t cluster) const {
    return data_at() + std::uint64_t{cluster - first_cluster} * cluster_bytes();
  }
  [[nodiscard]] bool holds(std::uint32_t cluster) const {
    return cluster >= first_cluster && cluster < clusters() + first_cluster;
  }
  // Bytes of a FAT that stand for clusters; the rest of its last sectors is not used.
  [[nodiscard]] std::uint64_t fat_used_bytes() const {
    const std::uint64_t entries = std::uint64_t{clusters()} + first_cluster;
    return is_fat12() ? (entries * 3 + 1) / 2 : entries * 2;
  }
  [[nodiscard]] bool is_fat12() const { return clusters() < fat12_clusters_below; }
};

// A 1.44 MB volume: ECMA-125 gives 80 cylinders, 2 sides, 18 sectors of 512 bytes; the rest are the usual
// values for that size of ECMA-107 volumes, which are Geometry's own defaults.
inline constexpr std::uint32_t floppy_sectors_a_track = 18;
inline constexpr std::uint32_t floppy_sides = 2;
inline constexpr Geometry floppy{};
// A 720 kB volume: ECMA-100 gives 80 cylinders, 2 sides, 9 sectors of 512 bytes; the rest as mkfs.fat 4.2
// sets it.
inline constexpr Geometry small_floppy{
    .sectors_a_cluster = 2, .root_entries = 112, .sectors = 1440, .sectors_a_fat = 3, .media = 0xF9};

inline constexpr std::size_t label_bytes = 11;  // ECMA-107, volume label

// The one file that a volume shows while its files are written, our own: of one byte in a cluster that no
// file can have, so that nothing takes it for a file of its own.
inline constexpr std::string_view unfinished_name = "NOTWHOLE";
inline constexpr std::uint32_t unfinished_size = 1;

// Reads a boot sector (at least 512 bytes); nullopt when it does not describe a FAT12 or FAT16 volume.
std::optional<Geometry> parse_boot_sector(std::string_view bytes);
// Writes one. `serial` is the volume's number, `label` has 11 bytes at most.
std::string make_boot_sector(const Geometry& geometry, std::uint32_t serial, std::string_view label = {});

// One FAT copy as a number a cluster, for clusters 0 to clusters()+1; short input reads as free.
std::vector<std::uint16_t> unpack_fat(const Geometry& geometry, std::string_view bytes);
std::string pack_fat(const Geometry& geometry, const std::vector<std::uint16_t>& fat);
// Whether a FAT copy begins with the boot sector's media byte and two bytes FF (ECMA-107, first two entries;
// the fourth byte of FAT16 may hold marks of FAT-1.03).
bool fat_begins_right(const Geometry& geometry, std::string_view bytes);

// DOS date and time words (ECMA-107, recording date and time; 2 s steps, 1980 to 2107). They carry no
// time zone and are taken as by the clock on the wall (time.hpp). nullopt for a date that is none.
std::optional<std::int64_t> from_dos(std::uint16_t date, std::uint16_t time);
struct DosTime {
  std::uint16_t date = 0;  // 0: none
  std::uint16_t time = 0;
};
// Odd seconds go down; a time out of range becomes none.
DosTime to_dos(std::optional<std::int64_t> seconds);

}  // namespace keepway::media
