#include "media/medium_use.hpp"

#include <fmt/format.h>

#include <fstream>
#include <set>

#include "keepway/error.hpp"
#include "keepway/text.hpp"

namespace keepway::media {
namespace fs = std::filesystem;
namespace {

[[noreturn]] void refuse(const fs::path& path, const std::string& what, std::string remedy) {
  throw Error(ErrorKind::refused, what, std::move(remedy), Place{printable(path.native())});
}

void refuse_mounted(const fs::path& path, const std::set<std::string>& ids, const fs::path& mounts) {
  const std::vector<std::string> where = mounts_of(ids, mounts);
  if (where.empty()) return;
  refuse(path, fmt::format("is mounted at {}", printable(where.front())),
         "make sure that it is the right one, unmount it, and try again");
}

void refuse_large(const fs::path& path, std::uint64_t bytes) {
  if (bytes <= max_stick_bytes) return;
  refuse(path, fmt::format("has {} bytes; a stick for floppies has no more than {}", bytes, max_stick_bytes),
         "make sure that it is the right one; use a smaller stick, or prepare an image");
}

}  // namespace

void refuse_unfit_device(const fs::path& path, const std::string& id, std::uint64_t bytes,
                         const SystemFiles& files) {
  std::error_code failed;
  const fs::path device = fs::canonical(files.sys / "dev/block" / id, failed);
  if (failed) {
    refuse(path, "is a device of which the system does not say whether it is a stick",
           "prepare an image, and copy it onto the stick");
  }
  std::set<std::string> ids = numbers_of(device);
  ids.insert(id);
  const bool is_partition = fs::exists(device / "partition", failed);
  const fs::path whole = is_partition ? device.parent_path() : device;
  if (is_partition) ids.insert(word_in(whole / "dev"));
  refuse_mounted(path, ids, files.mounts);
  if (word_in(device / "ro") == "1" || word_in(whole / "ro") == "1") {
    refuse(path, "is read-only", "open its write lock, or use another stick");
  }
  if (word_in(whole / "removable") != "1") {
    refuse(
        path, "is a fixed disk, not a stick",
        "name the stick; for one in a reader that reports fixed disks, prepare an image and copy it onto the "
        "stick");
  }
  refuse_large(path, bytes);
}

void refuse_unfit_image(const fs::path& path, std::uint64_t bytes, const SystemFiles& files) {
  std::error_code failed;
  const fs::perms mode = fs::status(path, failed).permissions();
  constexpr fs::perms any_write = fs::perms::owner_write | fs::perms::group_write | fs::perms::others_write;
  if ((mode & any_write) == fs::perms::none) {
    refuse(path, "is a read-only file", "allow writing to it (chmod u+w), or name another");
  }
  const fs::path whole = fs::canonical(path, failed);
  for (const auto& device : fs::directory_iterator(files.sys / "block", failed)) {
    std::ifstream in(device.path() / "loop/backing_file");  // a path to the line's end
    std::string backing;
    if (!std::getline(in, backing) || backing != whole.native()) continue;
    refuse(path, fmt::format("is in use as /dev/{}", printable(device.path().filename().native())),
           "unmount it and detach it (losetup -d), then try again");
  }
  refuse_large(path, bytes);
}

}  // namespace keepway::media
