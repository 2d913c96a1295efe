// What tests of media put into files, and find there.
#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>

#include "keepway/media.hpp"

namespace keepway::media {

inline void save(const std::filesystem::path& path, std::string_view bytes) {
  std::ofstream(path, std::ios::binary).write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

inline std::string load(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

inline Set named_set(const std::string& name, std::size_t size = 700) {
  Set set;
  set.files = {{name, std::string(size, name[0]), 1'000'000'000}};
  return set;
}

}  // namespace keepway::media
