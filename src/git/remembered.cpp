#include "git/remembered.hpp"

#include <fcntl.h>
#include <unistd.h>

#include "git/folder.hpp"

namespace keepway::store {

std::optional<std::string> recall(const std::filesystem::path& git_folder, const std::string& name) noexcept {
  try {
    std::error_code absent;
    if (!std::filesystem::exists(git_folder / "keepway", absent)) return std::nullopt;
    return Folder(git_folder / "keepway").read(name);
  } catch (...) {
    return std::nullopt;
  }
}

void remember(const std::filesystem::path& git_folder, const std::string& name,
              std::string_view bytes) noexcept {
  try {
    const std::filesystem::path path = git_folder / "keepway" / name;
    std::filesystem::create_directories(path.parent_path());
    const Fd file(::open(path.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0644));
    if (!file) return;
    write_all(file.get(), bytes, path.string());
    if (::ftruncate(file.get(), static_cast<off_t>(bytes.size())) != 0) forget(git_folder, name);
  } catch (...) {  // NOLINT(bugprone-empty-catch): the next one to ask finds out anew
  }
}

void forget(const std::filesystem::path& git_folder, const std::string& name) noexcept {
  std::error_code stays;
  std::filesystem::remove(git_folder / "keepway" / name, stays);
}

}  // namespace keepway::store
