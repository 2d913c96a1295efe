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

}  // namespace keepway::store
