// Files of src/show/pages, and of uPlot, that CMake puts into the program.
#pragma once

#include <string_view>

namespace keepway::show::assets {

extern const std::string_view style;
extern const std::string_view script;  // web/*.js, in order
extern const std::string_view counter_style;
extern const std::string_view counter_script;  // web/counter/*.js, in order
extern const std::string_view door_script;
extern const std::string_view chart_style;  // uPlot's, as the next three
extern const std::string_view chart_script;
extern const std::string_view chart_license;
extern const std::string_view chart_version;
extern const std::string_view sheet_style;

}  // namespace keepway::show::assets
