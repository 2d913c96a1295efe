// Archives, through libarchive.
#pragma once

#include <string_view>

#include "keepway/media.hpp"

namespace keepway::media {

enum class ArchiveKind { none, zip, tar, tar_gz, seven_zip };

// Told by the first bytes (at least 512, or all there are), never by a name. A program's text is none of
// them.
ArchiveKind archive_kind(std::string_view head);

// The files of an archive held in memory. `name` is for messages.
Set read_archive(std::string_view bytes, ArchiveKind kind, std::string_view name);

}  // namespace keepway::media
