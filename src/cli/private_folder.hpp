// Where the counter keeps what is on its way.
#pragma once

#include <filesystem>

namespace keepway::cli {

// A folder below the system's temporary one that only this user may look into, gone with the object. What a
// program left that was killed is taken away by the next one: the lock on a folder ends with its owner.
class PrivateFolder {
 public:
  // Error{store} when none can be made.
  PrivateFolder();
  ~PrivateFolder();
  PrivateFolder(const PrivateFolder&) = delete;
  PrivateFolder& operator=(const PrivateFolder&) = delete;
  PrivateFolder(PrivateFolder&&) = delete;
  PrivateFolder& operator=(PrivateFolder&&) = delete;
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
  int lock_ = -1;
};

}  // namespace keepway::cli
