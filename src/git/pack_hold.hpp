// A pack that Git must leave alone until a ref leads to what is in it.
//
// Motivation: `git gc --prune=now`, `git repack -ad` and `git prune` take for garbage what no ref led to when
// they looked, whenever they come to remove it: an object that is stored before its line moves may go right
// after. A ref cannot hold an object that is not there yet, and looking afterwards can be too early. But Git
// passes over a pack with a `.keep` beside it (git-repack(1), gitformat-pack(5)), and a pack that came while
// it was at work it does not know. So what is new goes into a pack that is kept from before it has its name
// until the line has moved.
#pragma once

#include <filesystem>

namespace keepway::store {

class PackHold {
 public:
  PackHold() = default;
  // Error{store} when the disk fails.
  explicit PackHold(std::filesystem::path pack_stem);
  PackHold(PackHold&& other) noexcept;
  PackHold& operator=(PackHold&& other) noexcept;
  PackHold(const PackHold&) = delete;
  PackHold& operator=(const PackHold&) = delete;
  ~PackHold();

 private:
  std::filesystem::path keep_;  // empty: nothing is held
};

// Lets go of what programs of ours held that are no more. Others' holds stay, and those of another computer.
void release_packs(const std::filesystem::path& pack_folder);

}  // namespace keepway::store
