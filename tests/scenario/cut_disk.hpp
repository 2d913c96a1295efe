// A file system on a loop device whose disk can be looked at as it is in the middle of a command, and put
// back to that: what a power cut leaves. The image is copied while the file system is mounted, so what it
// still holds in memory is not in the copy.
#pragma once

#include <cstdint>
#include <iosfwd>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "run.hpp"

namespace scenario {

struct FileSystem {
  std::string name;
  Args make;  // a command, to which the image is added
  std::string options;
  std::uint64_t bytes = 0;
  friend void PrintTo(const FileSystem& each, std::ostream* out);
};
const std::vector<FileSystem>& file_systems();

class CutDisk {
 public:
  // Makes the file system and mounts it at `at`, a folder that is there.
  CutDisk(FileSystem system, fs::path at);
  ~CutDisk();
  CutDisk(const CutDisk&) = delete;
  CutDisk& operator=(const CutDisk&) = delete;
  // Why it could not be mounted here; empty when it was.
  [[nodiscard]] const std::string& trouble() const { return trouble_; }

  // What the disk holds now. Blocks that differ from the freshly made file system.
  using Snapshot = std::map<std::uint64_t, std::string>;
  Snapshot snapshot() const;
  // Syncs a file that has nothing to do with anything: what the file system then writes down beside it (a
  // journal of all names, on some) comes to the disk before what the files hold.
  void sync_another();
  // What has been mounted goes, and the disk comes back as it was then.
  void cut_to(const Snapshot& snapshot);

 private:
  Ran mount();
  void unmount();

  FileSystem system_;
  fs::path at_;
  Scratch scratch_;
  fs::path folder_;  // of the image: in memory where there is such a place
  std::string trouble_;
  bool mounted_ = false;
};

}  // namespace scenario
