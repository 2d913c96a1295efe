// One commit's chunk of the index, as bytes.
//
//   head | hash of each change's name | message facts | changes | padding to 8 bytes
//
// Numbers are in the machine's own byte order: a file from another kind of machine reads as damaged.
// A row's change holds its value before, too: so the rows that differ between two commits are told by the
// chunks between them. The CRC is over all that follows it. The hashes stand together, so that a search for
// one name reads little of each chunk.
#pragma once

#include <git2.h>

#include <array>
#include <cstdint>
#include <cstring>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/index.hpp"

namespace keepway::store {

struct ChunkHead {
  std::uint32_t crc = 0;
  std::uint32_t magic = 0;   // raised when the form or the meaning of a chunk changes
  std::uint32_t size = 0;    // of the whole chunk
  std::uint32_t number = 0;  // of the backup, plus one; 0 when the commit is none
  std::int64_t at = 0;
  std::array<unsigned char, GIT_OID_RAWSZ> commit{};
  std::array<unsigned char, GIT_OID_RAWSZ> parent{};  // first parent; zeros for a root
  std::uint32_t changes = 0;
  std::uint32_t info_size = 0;
  friend bool operator==(const ChunkHead&, const ChunkHead&) = default;
};
inline constexpr std::uint32_t chunk_magic = 0x6b770a03;
static_assert(sizeof(ChunkHead) == 72 && sizeof(ChunkHead) % 8 == 0);

std::uint32_t name_hash(std::string_view name);

// `changes` by name, names unlike.
std::string write_chunk(const CommitInfo& commit, std::optional<std::uint32_t> number,
                        const std::vector<Change>& changes);

// A chunk whose sum is right. Looks at bytes that it does not own.
class Chunk {
 public:
  // nullopt when `bytes` do not begin with a sound chunk.
  static std::optional<Chunk> read(std::string_view bytes);

  // How many bytes the chunk has that begins with `head`, by its own word; 0 when none does.
  static std::size_t size_told(std::string_view head);

  [[nodiscard]] ChunkHead head() const {
    ChunkHead head;
    std::memcpy(&head, bytes_.data(), sizeof head);
    return head;
  }
  [[nodiscard]] std::string_view bytes() const { return bytes_; }
  [[nodiscard]] CommitInfo info() const;
  void add_hashes(std::vector<std::uint32_t>& to) const;
  // Value of one change, if it is there.
  [[nodiscard]] std::optional<std::optional<std::string>> find(std::string_view name,
                                                               std::uint32_t hash) const;
  [[nodiscard]] std::vector<Change> changes() const;
  // The rows among the changes, with their values before and now.
  using VisitRow = std::function<void(std::string_view name, std::optional<std::string_view> before,
                                      std::optional<std::string_view> now)>;
  void rows(const VisitRow& visit) const;

 private:
  explicit Chunk(std::string_view bytes) : bytes_(bytes) {}
  std::string_view bytes_;
};

}  // namespace keepway::store
