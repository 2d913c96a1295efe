// A folder made beside its place, so that it comes there whole or not at all.
#pragma once

#include <filesystem>

#include "base/fd.hpp"

namespace keepway::store {

// `.NAME.new` beside the folder NAME that is to be. What a program that was cut off left there goes first;
// that of one that lives is an Error{store} (the kernel's flock tells them apart). It goes with the object
// unless put in place.
class NewFolder {
 public:
  // Makes the folders above `place` too, and syncs their names. Error{store} when the disk fails.
  explicit NewFolder(const std::filesystem::path& place);
  NewFolder(const NewFolder&) = delete;
  NewFolder& operator=(const NewFolder&) = delete;
  NewFolder(NewFolder&&) = delete;
  NewFolder& operator=(NewFolder&&) = delete;
  ~NewFolder();

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  // Syncs every file and folder in it, renames it and syncs the name. Error{refused} when there is anything
  // but an empty folder in its place.
  void put_in_place();

 private:
  std::filesystem::path place_;
  std::filesystem::path path_;  // empty once it is in place
  Fd lock_;
};

}  // namespace keepway::store
