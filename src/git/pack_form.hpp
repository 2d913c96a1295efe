// Numbers and sizes in Git's packs and their indexes. Source: Git's gitformat-pack(5).
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace keepway::store {

inline constexpr std::size_t index_head_size = 8;       // "\377tOc" and 2; version 1 has none
inline constexpr std::size_t index_fanout_size = 1024;  // 256 counts of 4 bytes; the last counts all objects

// Highest byte first. The bytes have to be there.
inline std::uint64_t number_at(std::string_view bytes, std::size_t at, std::size_t size = 4) {
  std::uint64_t value = 0;
  for (std::size_t i = 0; i < size; ++i) value = value << 8U | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

// Set in a row of 4 bytes whose rest is a row of the table of 8 bytes.
inline constexpr std::uint64_t long_offset = 1U << 31U;

// The offset that a row of an index gives; one that says so is looked up in `large`, whose rows are of 8
// bytes. `stride`: a row's length; 8 in an index of several packs. All bits where `large` has no such row.
inline std::uint64_t place_in(std::string_view row, std::uint64_t stride, std::string_view large) {
  constexpr std::uint64_t with_id = 4 + 20;  // version 1: an id is behind it, and no `large`
  const std::uint64_t offset = number_at(row, stride == 8 ? 4 : 0);
  if (stride == with_id || offset < long_offset) return offset;
  const std::uint64_t place = (offset - long_offset) * 8;
  return place + 8 > large.size() ? UINT64_MAX : number_at(large, place, 8);
}

}  // namespace keepway::store
