// Which packs of a repository were followed before (pack_chains.hpp) and may be read, so that not every
// command reads every pack whole.
//
// A pack is the same as before by what the system alone says of its two files: where they are on the disk,
// how long they are, and when they were last changed in any way, a time that nobody can set. So in a folder
// that was copied from somebody each pack is followed again, whatever its cache says.
#pragma once

#include <filesystem>
#include <set>
#include <string>

#include "base/cache.hpp"

namespace keepway::store {

class FollowedPacks {
 public:
  explicit FollowedPacks(const std::filesystem::path& git_folder);

  [[nodiscard]] bool knows(const std::filesystem::path& index, const std::filesystem::path& pack);
  // It may be read.
  void note(const std::filesystem::path& index, const std::filesystem::path& pack);
  // Those that were asked for, for the next command. Fails silently, as a cache does; a damaged one is left
  // for an audit to find.
  void save() const;

  [[nodiscard]] static bool sound(const std::filesystem::path& git_folder);
  static void drop(const std::filesystem::path& git_folder);

 private:
  Cache cache_;
  bool is_ours_ = false;  // in a repository of anybody else's nothing is kept
  std::set<std::string> known_;
  std::set<std::string> asked_for_;
};

}  // namespace keepway::store
