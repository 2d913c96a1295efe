// Git's delta form read back, by the words of gitformat-pack(5), "Deltified representation": the other half
// of src/store/delta.cpp, for its checks. Aborts on bytes that are no delta of the base.
#pragma once

#include <string>
#include <string_view>

#include "require.hpp"

namespace keepway::fuzz {

inline std::string apply_delta(std::string_view base, std::string_view delta) {
  const auto take = [&] {
    require(!delta.empty());
    const auto byte = static_cast<unsigned char>(delta.front());
    delta.remove_prefix(1);
    return std::size_t{byte};
  };
  const auto take_size = [&] {
    std::size_t size = 0;
    for (unsigned shift = 0;; shift += 7) {
      const std::size_t byte = take();
      size |= (byte & 0x7FU) << shift;
      if (byte < 0x80) return size;
    }
  };
  require(take_size() == base.size());
  const std::size_t target_size = take_size();
  std::string out;
  while (!delta.empty()) {
    const std::size_t command = take();
    require(command != 0);  // reserved
    if (command < 0x80) {
      require(command <= delta.size());
      out += delta.substr(0, command);
      delta.remove_prefix(command);
      continue;
    }
    std::size_t offset = 0;
    std::size_t size = 0;
    for (unsigned i = 0; i < 4; ++i) offset |= (command >> i & 1U) != 0 ? take() << (8 * i) : 0;
    for (unsigned i = 0; i < 3; ++i) size |= (command >> (4 + i) & 1U) != 0 ? take() << (8 * i) : 0;
    if (size == 0) size = 0x10000;
    require(offset <= base.size() && size <= base.size() - offset);
    out += base.substr(offset, size);
  }
  require(out.size() == target_size);
  return out;
}

}  // namespace keepway::fuzz
