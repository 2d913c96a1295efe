// A pack looked at while it comes in.
//
// Motivation: what a server sends goes to libgit2's indexer, which sets aside whatever a base or a result
// says that it is, and follows chains of any length again for each of their deltas: some kilobytes take
// gigabytes, or hours. The stream itself says sizes and chains, so it is refused where the first of
// them comes. Deltas that name their base by id are not followed: which object they mean is known when all is
// there. Source of the form: Git's gitformat-pack(5).
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>

#include "git/inflate_stream.hpp"

namespace keepway::store {

class PackStream {
 public:
  // Of objects that may be of `max_size` bytes each.
  explicit PackStream(std::uint64_t max_size) : max_size_(max_size) {}

  // The next bytes: what speaks against the pack, or nullptr. A form that does not fit is the indexer's to
  // refuse. Memory grows with the number of objects alone.
  const char* put(std::string_view bytes);

 private:
  enum class Part { head, type, distance, base_id, content, rest };

  bool take_type(unsigned char byte);
  bool take_distance(unsigned char byte);
  std::size_t take_content(std::string_view bytes);
  void begin_content();
  void look_at_delta();

  std::uint64_t max_size_;
  Part part_ = Part::head;
  const char* fault_ = nullptr;
  std::uint64_t at_ = 0;    // bytes taken
  std::string gathered_;    // of a head or an id
  std::uint32_t left_ = 0;  // entries to come
  std::uint64_t entry_at_ = 0;
  unsigned type_ = 0;
  std::uint64_t size_ = 0;
  unsigned shift_ = 0;
  std::uint64_t distance_ = 0;
  std::uint64_t given_ = 0;  // of an entry's content
  std::string delta_head_;
  std::unordered_map<std::uint64_t, std::size_t> depths_;
  InflateStream inflater_;
  std::array<char, 1U << 16U> room_{};
};

}  // namespace keepway::store
