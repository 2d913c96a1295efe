// The functions of keepway/prepare.hpp with what they share; `before_write` lets a test stop at each write.
#pragma once

#include "keepway/prepare.hpp"
#include "media/fat_volume.hpp"
#include "media/new_file.hpp"

namespace keepway::media {

inline const Geometry& geometry_of(FloppySize size) {
  return size == FloppySize::kb720 ? small_floppy : floppy;
}

// The same with the volumes that are on the medium.
PreparePlan plan_prepare(const PrepareRequest& request, std::vector<Volume>& old);

std::vector<std::filesystem::path> prepare(const PreparePlan& plan, const WriteOptions& options,
                                           const BeforeWrite& before_write);

}  // namespace keepway::media
