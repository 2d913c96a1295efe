// What a file or a device holds, recognised by its bytes and in one order for all.
#pragma once

#include <vector>

#include "media/archive.hpp"
#include "media/fat_volume.hpp"
#include "media/other_volume.hpp"

namespace keepway::media {

struct Contents {
  ArchiveKind archive = ArchiveKind::none;
  std::vector<Volume> volumes;       // not looked for in an archive
  std::optional<std::string> other;  // a volume that is not read here, see other_volume()
};
// A volume at the very beginning comes first: a stick's later bytes may be anything. Then what can only be an
// archive, as an archive may hold images; a device is none. Then volumes anywhere, as a stick's first slot
// may be blank.
Contents contents_of(const FileDisk& disk, const OnProgress& on_progress = {});

}  // namespace keepway::media
