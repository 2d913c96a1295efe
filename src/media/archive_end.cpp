// Whether an archive has its end: libarchive takes what is there for all there is.
#include <algorithm>

#include "media/archive.hpp"
#include "media/fat_format.hpp"
#include "media/zip_format.hpp"

namespace keepway::media {
namespace {

// POSIX.1-2017, pax, ustar interchange format: blocks of 512 bytes, two of zeros at the end.
constexpr std::size_t ustar_block = 512;
constexpr std::size_t at_file_size = 124;
constexpr std::size_t size_bytes = 12;
constexpr std::size_t at_type = 156;

// PKWARE APPNOTE.TXT 6.3, 8.5.4: at the front of the first of several parts.
constexpr std::string_view parts_sign("PK\x07\x08", 4);

bool is_zero(std::string_view bytes) {
  return bytes.find_first_not_of('\0') == std::string_view::npos;
}

// Octal digits, or a binary number behind a byte of 80 hex (GNU tar, for what does not fit); nullopt for
// neither.
std::optional<std::uint64_t> number(std::string_view field) {
  std::uint64_t value = 0;
  if (!field.empty() && static_cast<unsigned char>(field[0]) == 0x80) {
    for (const char c : field.substr(1)) {
      if (value >> 48U != 0) return std::nullopt;
      value = (value << 8U) | static_cast<unsigned char>(c);
    }
    return value;
  }
  for (const char c : field) {
    if (c >= '0' && c <= '7') {
      value = value * 8 + static_cast<std::uint64_t>(c - '0');
    } else if (c != ' ' && c != '\0') {
      return std::nullopt;
    }
  }
  return value;
}

std::optional<std::size_t> end_record(std::string_view zip) {
  if (zip.size() < end_bytes) return std::nullopt;
  const std::size_t last = zip.size() - end_bytes;
  const std::size_t end = zip.rfind(end_sign, last);
  if (end == std::string_view::npos || last - end > max_comment) return std::nullopt;
  return end;
}

}  // namespace

bool has_tar_end(std::string_view tar) {
  for (std::size_t at = 0; at + ustar_block <= tar.size();) {
    const std::string_view head = tar.substr(at, ustar_block);
    if (is_zero(head))
      return at + 2 * ustar_block <= tar.size() && is_zero(tar.substr(at + ustar_block, ustar_block));
    const auto size = number(head.substr(at_file_size, size_bytes));
    const char type = head[at_type];
    // A head that makes no sense is said by whoever reads it; a file with holes has more of a head than this.
    if (!size || type == 'S') return true;
    const bool no_data = type >= '1' && type <= '6';
    const std::uint64_t data = no_data ? 0 : (*size + ustar_block - 1) / ustar_block * ustar_block;
    if (data > tar.size() - at - ustar_block) return false;
    at += ustar_block + static_cast<std::size_t>(data);
  }
  return false;
}

bool has_zip_directory(std::string_view zip) {
  const auto end = end_record(zip);
  if (!end) return false;
  const std::uint32_t entries = get16(zip, *end + 10);
  const std::uint32_t bytes = get32(zip, *end + 12);
  if (entries == 0xFFFF || bytes == 0xFFFFFFFF)
    return true;  // its numbers are in another record, for large ones
  if (bytes > *end) return false;
  std::size_t at = *end - bytes;
  std::uint32_t found = 0;
  while (found < entries && at + central_bytes <= *end && zip.substr(at).starts_with(central_sign)) {
    at += central_bytes + get16(zip, at + 28) + get16(zip, at + 30) + get16(zip, at + 32);
    ++found;
  }
  return found == entries && at <= *end;
}

bool is_zip_part(std::string_view zip) {
  if (zip.starts_with(parts_sign)) return true;
  const auto end = end_record(zip);
  if (!end) return false;
  const std::uint32_t disk = get16(zip, *end + 4);
  const std::uint32_t directory_disk = get16(zip, *end + 6);
  return (disk != 0 && disk != 0xFFFF) || (directory_disk != 0 && directory_disk != 0xFFFF);
}

bool is_tar_part(std::string_view tar) {
  return tar.size() > at_type && tar[at_type] == 'M';  // GNU tar: a file that goes on from the volume before
}

}  // namespace keepway::media
