// Texts of the layouts that come with keepway.
#pragma once

#include <string_view>

namespace keepway::layout {

extern const std::string_view rs274ngc_layout;    // TOML
extern const std::string_view rs274ngc_namebook;  // TSV

}  // namespace keepway::layout
