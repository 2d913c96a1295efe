#include "media/plugged.hpp"

#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>

#include <algorithm>
#include <charconv>
#include <fstream>
#include <system_error>

namespace keepway::media {
namespace fs = std::filesystem;
namespace {

constexpr std::uint64_t size_unit = 512;  // of the file `size`, whatever the device's sectors are

std::uint64_t bytes_of(const fs::path& device) {
  const std::string text = word_in(device / "size");
  std::uint64_t sectors = 0;
  std::from_chars(text.data(), text.data() + text.size(), sectors);
  return sectors <= UINT64_MAX / size_unit ? sectors * size_unit : 0;
}

// A line, without the blanks that fill it.
std::string line_in(const fs::path& file) {
  std::ifstream in(file);
  std::string line;
  std::getline(in, line);
  line.erase(line.find_last_not_of(' ') + 1);
  return line;
}

// As the system names it in /dev: a '!' there is a '/' here.
std::string name_of(const fs::path& device) {
  std::string name = device.filename().string();
  std::replace(name.begin(), name.end(), '!', '/');
  return name;
}

}  // namespace

std::vector<Plugged> plugged_in(const SystemFiles& files) {
  std::vector<Plugged> found;
  std::error_code failed;
  for (fs::directory_iterator each(files.sys / "block", failed), end; !failed && each != end;
       each.increment(failed)) {
    const fs::path& device = each->path();
    const std::string name = name_of(device);
    const bool is_disc = name.starts_with("sr");
    const std::uint64_t bytes = bytes_of(device);
    if (is_disc || bytes == 0 || word_in(device / "removable") != "1")
      continue;  // 0: a reader without a card
    const std::string vendor = line_in(device / "device/vendor");
    const std::string model = line_in(device / "device/model");
    // `diskseq` counts what was ever plugged in.
    found.push_back(
        {files.dev / name,
         fmt::format("{} {} {} {}", name, word_in(device / "dev"), word_in(device / "diskseq"), bytes), bytes,
         fmt::format("{}{}{}", vendor, vendor.empty() || model.empty() ? "" : " ", model),
         mounts_of(numbers_of(device), files.mounts)});
  }
  std::sort(found.begin(), found.end(), [](const Plugged& a, const Plugged& b) { return a.path < b.path; });
  return found;
}

std::vector<Plugged> plugged_in() {
  return plugged_in(SystemFiles{});
}

std::optional<Plugged> medium_at(const fs::path& path) {
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0 || !(S_ISREG(status.st_mode) || S_ISBLK(status.st_mode)))
    return std::nullopt;
  Plugged found;
  found.path = path;
  found.identity = fmt::format("{} {} {} {}", path.string(), status.st_dev, status.st_ino, status.st_rdev);
  if (S_ISREG(status.st_mode)) {
    found.bytes = static_cast<std::uint64_t>(status.st_size);
    return found;
  }
  const SystemFiles files;
  const fs::path device =
      files.sys / "dev/block" / fmt::format("{}:{}", major(status.st_rdev), minor(status.st_rdev));
  found.identity += " " + word_in(device / "diskseq");
  found.bytes = bytes_of(device);
  found.mounted_at = mounts_of(numbers_of(device), files.mounts);
  return found;
}

}  // namespace keepway::media
