#include <algorithm>
#include <array>

#include "keepway/media.hpp"
#include "keepway/text.hpp"

namespace keepway::media {

bool is_litter(std::string_view name) {
  static constexpr std::array<std::string_view, 3> files = {"thumbs.db", "desktop.ini", ".ds_store"};
  static constexpr std::string_view folder = "system volume information";
  const std::string small = lower(name);
  std::string_view rest = small;
  while (true) {
    const std::size_t slash = rest.find('/');
    const std::string_view part = rest.substr(0, slash);
    if (part == folder) return true;
    if (slash == std::string_view::npos) return std::find(files.begin(), files.end(), part) != files.end();
    rest.remove_prefix(slash + 1);
  }
}

}  // namespace keepway::media
