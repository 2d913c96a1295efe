// The documents' texts, which the build puts into the program so that an installed one has them.
#pragma once

#include <string_view>

namespace keepway::show {

extern const std::string_view guide_document;
extern const std::string_view layout_document;
extern const std::string_view namebook_document;

}  // namespace keepway::show
