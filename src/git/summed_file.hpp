// A file under a passing name that ends with the SHA-1 of all before it, as packs and their indexes do.
#pragma once

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <string>
#include <string_view>

#include "base/parallel.hpp"
#include "git/folder.hpp"
#include "git/git.hpp"
#include "git/sha1.hpp"

namespace keepway::store {

inline constexpr std::size_t checksum_size = Sha1::size;
// Not Git's own `tmp_`: what begins so, `git prune` removes while it is being written.
inline constexpr std::string_view passing_prefix = "keepway-new-";

// It goes unless it is given its name.
class SummedFile {
 public:
  SummedFile(const std::filesystem::path& folder, std::string_view kind)
      : path_((folder / fmt::format("{}{}-{}", passing_prefix, kind, getpid())).string()) {
    ::unlink(path_.c_str());  // left by a process of the same number that was cut off
    file_ = Fd(::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0444));
    if (!file_) fail_disk(errno, "write " + path_);
  }
  SummedFile(const SummedFile&) = delete;
  SummedFile& operator=(const SummedFile&) = delete;
  SummedFile(SummedFile&&) = delete;
  SummedFile& operator=(SummedFile&&) = delete;
  ~SummedFile() {
    if (!path_.empty()) ::unlink(path_.c_str());
  }

  void put(std::string_view bytes) {
    buffer_ += bytes;
    if (buffer_.size() < buffer_limit) return;
    // Much is summed up while it is written: both take as long.
    in_parallel(2, true,
                [&](std::size_t i) { i == 0 ? write_all(file_.get(), buffer_, path_) : sum_.put(buffer_); });
    buffer_.clear();
  }
  std::string finish() {
    sum_.put(buffer_);
    std::string checksum = sum_.finish();
    buffer_ += checksum;
    write_all(file_.get(), buffer_, path_);
    buffer_.clear();
    sync(file_.get(), path_);
    return checksum;
  }
  void name(const std::filesystem::path& final_path) {
    if (::rename(path_.c_str(), final_path.c_str()) != 0) fail_disk(errno, "write " + final_path.string());
    path_.clear();
  }

 private:
  static constexpr std::size_t buffer_limit = std::size_t{1} << 20U;
  std::string path_;
  Fd file_;
  Sha1 sum_;
  std::string buffer_;
};

}  // namespace keepway::store
