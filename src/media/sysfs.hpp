// What the system says of its devices, in files: sysfs(5) and proc(5).
#pragma once

#include <filesystem>
#include <set>
#include <string>
#include <vector>

namespace keepway::media {

// Where it says so; tests give folders of their own.
struct SystemFiles {
  std::filesystem::path sys = "/sys";
  std::filesystem::path mounts = "/proc/self/mountinfo";
  std::filesystem::path dev = "/dev";
};

// The first word of a small file; empty when it cannot be read.
std::string word_in(const std::filesystem::path& file);
// The numbers ("8:16") of a device and of its partitions. `device`: its folder below /sys.
std::set<std::string> numbers_of(const std::filesystem::path& device);
// Where any of these is mounted.
std::vector<std::string> mounts_of(const std::set<std::string>& numbers, const std::filesystem::path& mounts);

}  // namespace keepway::media
