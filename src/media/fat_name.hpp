// Names on a FAT volume: 8.3 names (ECMA-107, file name and extension) and long names (FAT-1.03, long
// directory entries; see fat_format.hpp for the sources).
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

namespace keepway::media {

// ECMA-107: a name of 8 bytes, an extension of 3.
inline constexpr std::size_t base_bytes = 8;
inline constexpr std::size_t short_bytes = 11;  // base and extension, padded with blanks

// The 11 bytes of one part of a path; letters become capitals, nothing else is changed. nullopt when the
// part cannot be an 8.3 name.
std::optional<std::string> short_name(std::string_view part);

// Reads an entry's 11 bytes: "O1234   NC " gives "O1234.NC". `lower` is byte 12 of the entry: 08 and 10
// hex say that base and extension are shown in small letters (common practice, no source). `good` is set to
// false when a byte cannot be in a name; such bytes become '_'.
std::string shown_name(std::string_view eleven, unsigned char lower, bool& good);

// Collects the long-name entries that come before a short one.
class LongName {
 public:
  // Takes one entry of 32 bytes; entries out of step drop what there was.
  void take(std::string_view entry, bool deleted);
  // The long name as UTF-8, if it is whole and belongs to the short name; forgets it. The first byte of a
  // deleted short name is lost, so it is tried with the long name's own.
  std::optional<std::string> finish(std::string_view eleven, bool deleted);
  void drop() { parts_ = 0; }

 private:
  static constexpr std::size_t units_a_part = 13;  // FAT-1.03, LDIR_Name1 to LDIR_Name3: 5, 6 and 2
  static constexpr std::size_t max_parts = 20;     // FAT-1.03: 255 units at most
  std::array<char16_t, units_a_part * max_parts> units_{};
  std::size_t parts_ = 0;  // of the whole name, 0: none under way
  std::size_t next_ = 0;   // ordinal awaited, counting down
  unsigned char checksum_ = 0;
};

}  // namespace keepway::media
