// A CRC-32 behind bytes that only keepway reads, in the machine's own byte order: tells damage, not forgery.
#pragma once

#include <libdeflate.h>

#include <cstdint>
#include <cstring>
#include <optional>
#include <string>
#include <string_view>

namespace keepway {

inline void seal(std::string& bytes) {
  const std::uint32_t sum = libdeflate_crc32(0, bytes.data(), bytes.size());
  bytes.append(reinterpret_cast<const char*>(&sum), sizeof sum);
}

// The bytes before their sum; nullopt when it is not theirs.
inline std::optional<std::string_view> unsealed(std::string_view bytes) {
  std::uint32_t sum = 0;
  if (bytes.size() < sizeof sum) return std::nullopt;
  const std::string_view summed = bytes.substr(0, bytes.size() - sizeof sum);
  std::memcpy(&sum, bytes.data() + summed.size(), sizeof sum);
  return libdeflate_crc32(0, summed.data(), summed.size()) == sum ? std::optional(summed) : std::nullopt;
}

}  // namespace keepway
