// The index's file: chunks one after another, only ever added to or replaced whole.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "git/folder.hpp"
#include "index/index_chunk.hpp"

namespace keepway::store {

// Looks at a file through one buffer, which is used again: ten years of index need not be in memory to be
// looked through once.
class FileWindow {
 public:
  FileWindow() = default;
  FileWindow(Fd file, std::uint64_t size) : file_(std::move(file)), size_(size) {}
  [[nodiscard]] std::uint64_t size() const { return size_; }
  // The bytes from `at` on, at least `wanted` of them unless the file ends before or cannot be read. Valid
  // until the next call. What is `alone` is read without its neighbours.
  std::string_view from(std::uint64_t at, std::size_t wanted, bool alone = false);

 private:
  Fd file_;
  std::uint64_t size_ = 0;
  std::string buffer_;
  std::uint64_t start_ = 0;  // of what the buffer holds
  std::size_t held_ = 0;
};

// Beside it, `.git/keepway/index-heads` holds the heads of all chunks but the newest, with a sum: an eighth
// of the bytes, and all that a search reads of most of them. It may be gone, damaged or of an index that has
// been replaced: a chunk is held against its head when it is asked for.
class IndexFile {
 public:
  explicit IndexFile(std::filesystem::path git_folder)
      : git_folder_(std::move(git_folder)), path_(git_folder_ / "keepway" / "index") {}

  // Finds the chunks, by their heads where these are at hand. No error when the file is absent or cannot be
  // read: there are no chunks, then.
  void load();
  // Goes through the file and finds its sound chunks; those between damaged ones too.
  void load_whole();
  // The same for what the end of the file holds; whether the rest is sound is not told.
  void load_end();
  // The heads of its chunks, in the order of the file.
  [[nodiscard]] const std::vector<ChunkHead>& heads() const { return heads_; }
  // False when chunk `number` holds no change of a name with that hash.
  [[nodiscard]] bool may_hold(std::size_t number, std::uint32_t hash) const;
  // Chunk `number` whole; valid until the next call. nullopt when it is not the one that its head told of.
  [[nodiscard]] std::optional<Chunk> chunk(std::size_t number);
  // Whether there is anything in what was gone through but sound chunks.
  [[nodiscard]] bool damaged() const { return damaged_; }

  // Both give up silently when the disk will not have it, or another program is at it.
  void append(std::string_view chunks) const;
  // `next` gives the chunks in turn, and nothing at the end.
  void replace(const std::function<std::string_view()>& next) const;
  void remove() const noexcept;

 private:
  bool open();
  void go_through(std::uint64_t at);
  // How many bytes of the file the heads at hand are of; 0 when there are none.
  std::uint64_t take_heads();
  void remember_heads() const;

  std::filesystem::path git_folder_;
  std::filesystem::path path_;
  FileWindow window_;
  std::vector<ChunkHead> heads_;
  std::vector<std::uint64_t> places_;      // of the chunks in the file
  std::vector<std::uint32_t> hashes_;      // of the names that each changed, one chunk after another
  std::vector<std::size_t> first_hashes_;  // where a chunk's begin
  std::size_t asked_ = SIZE_MAX;           // the chunk last asked for
  bool damaged_ = false;
};

}  // namespace keepway::store
