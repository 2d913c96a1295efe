// The disk below a folder, walked part by part and never through a link.
//
// Motivation: the work tree is a place where anyone may leave a symbolic link. A path is therefore
// not handed to the system whole: each folder on the way is opened from the one above it, and a
// link where a folder or a file belongs is removed, not followed. A path with a part that leads out, or that
// is Git's own in any spelling (see path.hpp), is not there to be read or removed, and is refused to be
// written.
#pragma once

#include <sys/stat.h>

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "base/fd.hpp"

namespace keepway::store {

// All of these throw Error{store} when the disk fails.
void write_all(int file, std::string_view bytes, std::string_view name);
void sync(int file, std::string_view name);
void sync_folder(const std::filesystem::path& folder);

// An empty folder that goes with the object and all that is in it, for one who holds the lock: what a program
// that was cut off left of it goes first. Error{store}.
class TemporaryFolder {
 public:
  explicit TemporaryFolder(std::filesystem::path path);
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  TemporaryFolder(TemporaryFolder&&) = delete;
  TemporaryFolder& operator=(TemporaryFolder&&) = delete;
  ~TemporaryFolder();
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

class Folder {
 public:
  explicit Folder(std::filesystem::path root);
  [[nodiscard]] const std::filesystem::path& path() const { return root_path_; }

  // What is at a path; nullopt when nothing is or the way there is not made of folders.
  std::optional<struct stat> look(const std::string& path);
  // A regular file's bytes; nullopt for anything else.
  std::optional<std::string> read(const std::string& path);
  // Puts a new file there, in place of a file or link; makes the folders on the way. Not synced.
  // With `staging`, the new file is made whole and synced there first, so that the old one stays until it
  // can be replaced at once. Returns the new file's stat.
  struct stat write(const std::string& path, std::string_view bytes, bool executable, const Folder* staging);
  // Removes the file and the folders that it leaves empty. No error when absent.
  void remove(const std::string& path);

 private:
  // Descriptor of the folder that holds `path`, kept for the next call; -1 when it is not there.
  int parent(const std::string& path, bool make);

  std::filesystem::path root_path_;
  Fd root_;
  std::string open_path_;
  Fd open_;
};

}  // namespace keepway::store
