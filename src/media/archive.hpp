// Archives, through libarchive.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/media.hpp"

namespace keepway::media {

enum class ArchiveKind { none, zip, tar, tar_gz, tar_bz2, tar_xz, seven_zip };

// Known by the first bytes (at least 512, or all there are), never by a name. A program's text is none of
// them.
ArchiveKind archive_kind(std::string_view head);

// The files of an archive held in memory. `name` is for messages.
Set read_archive(std::string_view bytes, ArchiveKind kind, std::string_view name,
                 const OnProgress& on_progress = {});

// Where in a zip the flags (two bytes, little-endian) are of entries whose name is UTF-8 and not plain
// ASCII, in the central directory and before the files: `utf8_name_bit` there says so. None for what is no
// whole zip.
std::vector<std::size_t> utf8_name_flags(std::string_view zip);
inline constexpr unsigned utf8_name_bit = 1U << 11U;  // PKWARE APPNOTE.TXT 6.3, 4.4.4

// Whether a tar ends as one does, in two blocks of zeros, and a zip in a directory that is whole: where not,
// it was cut off, even where all that is there can be read.
bool has_tar_end(std::string_view tar);
bool has_zip_directory(std::string_view zip);
// Whether it is one of several parts that an archive was split into.
bool is_zip_part(std::string_view zip);
bool is_tar_part(std::string_view tar);

// Error{input} when so many bytes out of an archive of `archive_bytes` are a trap: text off a control shrinks
// to a tenth. `shown` is for messages.
void check_ratio(std::uint64_t unpacked, std::uint64_t archive_bytes, const std::string& shown);

// Error{input} when what the head of a 7z archive claims makes no sense or is over the bounds of media.hpp.
void check_seven_zip(std::string_view bytes, std::string_view name);

}  // namespace keepway::media
