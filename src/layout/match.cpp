// File names against a source's patterns.
#include <algorithm>

#include "keepway/layout.hpp"
#include "layout/glob.hpp"

namespace keepway {

NameMatch match_name(const Source& source, std::string_view name, std::string_view serial) {
  const std::string_view last = name.substr(name.rfind('/') + 1);  // npos + 1 is 0
  NameMatch best = NameMatch::no;
  for (const std::string& pattern : source.files) {
    const std::string_view against = pattern.find('/') == std::string::npos ? last : name;
    const bool unknown = serial.empty();  // a machine without a serial takes any
    const layout::Expanded exact = layout::expand(pattern, serial, unknown);
    if (layout::glob_fits(exact.pattern, against, '/')) return NameMatch::yes;
    if (exact.has_serial && !unknown &&
        layout::glob_fits(layout::expand(pattern, serial, true).pattern, against, '/')) {
      best = NameMatch::wrong_serial;
    }
  }
  return best;
}

bool has_folders(const Layout& layout) {
  return std::any_of(layout.sources.begin(), layout.sources.end(), [](const Source& source) {
    return std::any_of(source.files.begin(), source.files.end(),
                       [](const std::string& pattern) { return pattern.find('/') != std::string::npos; });
  });
}

}  // namespace keepway
