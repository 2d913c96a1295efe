#include "keepway/small_file.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <fstream>
#include <iterator>

#include "base/durable.hpp"

namespace keepway {
namespace fs = std::filesystem;

std::optional<std::string> read_small_file(const fs::path& file) {
  std::error_code failed;
  if (!fs::is_regular_file(file, failed) || fs::file_size(file, failed) > max_small_file || failed)
    return std::nullopt;
  std::ifstream in(file, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(in), {}};
  if (!in) return std::nullopt;
  return text;
}

bool write_small_file(const fs::path& file, std::string_view text) {
  const std::string aside = file.string() + ".new";
  // A work tree holds what others pushed: a link of this name would lead to any file of whoever runs this.
  (void)::unlink(aside.c_str());
  const int handle = ::open(aside.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
  if (handle < 0) return false;
  bool good = true;
  while (good && !text.empty()) {
    const ssize_t put = ::write(handle, text.data(), text.size());
    good = put > 0;
    if (good) text.remove_prefix(static_cast<std::size_t>(put));
  }
  good = good && ::fsync(handle) == 0;
  good = ::close(handle) == 0 && good;
  std::error_code failed;
  if (good) fs::rename(aside, file, failed);
  if (!good || failed) {
    fs::remove(aside, failed);
    return false;
  }
  // The name too must outlive a power cut. Where a folder cannot be synced there is nothing to be done.
  (void)sync_names(file.parent_path());
  return true;
}

}  // namespace keepway
