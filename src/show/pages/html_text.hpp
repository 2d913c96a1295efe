#pragma once

#include <string>
#include <string_view>

namespace keepway::show::pages {

// Text of any origin as text of an HTML page or attribute: never markup, no control byte.
std::string html_text(std::string_view text);

}  // namespace keepway::show::pages
