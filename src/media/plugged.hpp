// plugged_in() of media.hpp, of another system's files.
#pragma once

#include <vector>

#include "keepway/media.hpp"
#include "media/sysfs.hpp"

namespace keepway::media {

std::vector<Plugged> plugged_in(const SystemFiles& files);

}  // namespace keepway::media
