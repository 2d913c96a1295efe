// A file of which parts are read.
#pragma once

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "base/fd.hpp"

namespace keepway::store {

// One that is absent, or no regular file, has no bytes.
class FileParts {
 public:
  explicit FileParts(const std::filesystem::path& path)
      : file_(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)) {
    struct stat found {};
    if (file_ && ::fstat(file_.get(), &found) == 0 && S_ISREG(found.st_mode))
      size_ = static_cast<std::uint64_t>(found.st_size);
  }
  [[nodiscard]] std::uint64_t size() const { return size_; }
  // nullopt where the file has no such bytes.
  [[nodiscard]] std::optional<std::string> read(std::uint64_t at, std::uint64_t length) const {
    if (at > size_ || length > size_ - at) return std::nullopt;
    std::string bytes(length, '\0');
    std::size_t done = 0;
    while (done < bytes.size()) {
      const ssize_t got =
          ::pread(file_.get(), bytes.data() + done, bytes.size() - done, static_cast<off_t>(at + done));
      if (got < 0 && errno == EINTR) continue;
      if (got <= 0) return std::nullopt;
      done += static_cast<std::size_t>(got);
    }
    return bytes;
  }

 private:
  Fd file_;
  std::uint64_t size_ = 0;
};

}  // namespace keepway::store
