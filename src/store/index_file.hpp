// The index's file: chunks one after another, only ever added to or replaced whole.
#pragma once

#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "store/index_chunk.hpp"

namespace keepway::store {

class IndexFile {
 public:
  explicit IndexFile(const std::filesystem::path& git_folder) : path_(git_folder / "keepway" / "index") {}

  // Reads the file and finds its sound chunks; those between damaged ones too. No error when it is absent
  // or cannot be read: there are no chunks, then.
  void load() { load(SIZE_MAX); }
  // The same for what the end of the file holds; whether the rest is sound is not told.
  void load_end() { load(end_bytes); }
  [[nodiscard]] const std::vector<Chunk>& chunks() const { return chunks_; }
  // Whether there is anything in it but sound chunks.
  [[nodiscard]] bool damaged() const { return damaged_; }

  // Both give up silently when the disk will not have it, or another program is at it.
  void append(std::string_view chunks) const;
  void replace(const std::vector<std::string_view>& chunks) const;
  void remove() const noexcept;

 private:
  struct FreeRoom {
    void operator()(char* room) const { std::free(room); }
  };
  static constexpr std::size_t end_bytes = std::size_t{512} << 10U;  // some hundred backups
  void load(std::size_t at_most);
  static std::unique_ptr<char, FreeRoom> room_for(std::size_t bytes);

  std::filesystem::path path_;
  std::unique_ptr<char, FreeRoom> bytes_;
  std::vector<Chunk> chunks_;
  bool damaged_ = false;
};

}  // namespace keepway::store
