// Putting a past state back: originals byte for byte, or single values changed in place by their
// span in an original. Knows nothing of how it is shown.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "keepway/media.hpp"
#include "keepway/reader.hpp"

namespace keepway {

// The usual cautions of the trade (common practice, no source), to be shown wherever a restore set
// is handed out. They defer to the builder's manual, local codes and qualified people.
const std::vector<std::string>& cautions();

}  // namespace keepway
