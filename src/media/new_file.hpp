// A new file that appears under its name only when it is whole.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

#include "base/fd.hpp"
#include "keepway/on_progress.hpp"

namespace keepway::media {

// Called before every write to a disk, with nothing; tests break off there.
using BeforeWrite = std::function<void()>;

// A file under another name beside `path`, empty, which commit() gives its own; without it, it goes with the
// object. Error{refused} when `path` is there already, when made or at commit(); Error{store} when it cannot
// be made.
class NewFile {
 public:
  explicit NewFile(std::filesystem::path path);
  NewFile(const NewFile&) = delete;
  NewFile& operator=(const NewFile&) = delete;
  ~NewFile();
  [[nodiscard]] const Fd& fd() const { return fd_; }
  [[nodiscard]] const std::filesystem::path& temporary() const { return temporary_; }
  void commit();

 private:
  std::filesystem::path path_;
  std::filesystem::path temporary_;
  Fd fd_;
  bool done_ = false;
};

// Writes `bytes` to a file of another name beside `path`, syncs it, reads it back, and gives it its name.
// `check` sees what was read back and may throw. Error{refused} when `path` is there already; Error{store}
// when a disk fails. On failure nothing is left. `on_progress`: of what is written and read back.
void write_new_file(const std::filesystem::path& path, std::string_view bytes,
                    const std::function<void(std::string_view)>& check, const BeforeWrite& before_write = {},
                    const OnProgress& on_progress = {});

// Error{refused} when there is anything at `path`.
void check_absent(const std::filesystem::path& path);

// Error{store} unless both sets have the same names, bytes and empty folders.
void check_same(const struct Set& wanted, const struct Set& got, const std::filesystem::path& path);

}  // namespace keepway::media
