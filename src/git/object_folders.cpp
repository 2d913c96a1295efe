#include "git/object_folders.hpp"

#include <algorithm>
#include <sstream>

#include "git/folder.hpp"

namespace keepway::store {
namespace fs = std::filesystem;

std::vector<fs::path> object_folders(const fs::path& own) {
  constexpr std::size_t most = 16;
  std::vector<fs::path> out{own};
  for (std::size_t i = 0; i < out.size() && out.size() < most; ++i) {
    std::error_code absent;
    if (!fs::is_regular_file(out[i] / "info" / "alternates", absent)) continue;
    std::istringstream lines(Folder(out[i]).read("info/alternates").value_or(""));
    for (std::string line; std::getline(lines, line);) {
      if (line.empty() || line.starts_with('#')) continue;
      const fs::path other = (out[i] / line).lexically_normal();  // an absolute one stays as it is
      if (std::find(out.begin(), out.end(), other) == out.end() && fs::is_directory(other, absent))
        out.push_back(other);
    }
  }
  return out;
}

}  // namespace keepway::store
