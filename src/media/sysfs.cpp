#include "media/sysfs.hpp"

#include <fstream>
#include <sstream>
#include <system_error>

namespace keepway::media {
namespace fs = std::filesystem;

std::string word_in(const fs::path& file) {
  std::ifstream in(file);
  std::string word;
  in >> word;
  return word;
}

std::set<std::string> numbers_of(const fs::path& device) {
  std::set<std::string> numbers;
  const auto add = [&](const fs::path& folder) {
    if (std::string number = word_in(folder / "dev"); !number.empty()) numbers.insert(std::move(number));
  };
  add(device);
  std::error_code failed;
  for (fs::directory_iterator below(device, failed), end; !failed && below != end; below.increment(failed))
    add(below->path());
  return numbers;
}

// The third field of a line is the device, the fifth where it is mounted.
std::vector<std::string> mounts_of(const std::set<std::string>& numbers, const fs::path& mounts) {
  std::vector<std::string> found;
  std::ifstream in(mounts);
  for (std::string line; std::getline(in, line);) {
    std::istringstream fields(line);
    std::string number;
    std::string parent;
    std::string device;
    std::string root;
    std::string where;
    fields >> number >> parent >> device >> root >> where;
    if (numbers.contains(device)) found.push_back(where);
  }
  return found;
}

}  // namespace keepway::media
