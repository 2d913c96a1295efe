// One folder of a FAT volume: its bytes as entries.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace keepway::media {

struct FolderEntry {
  std::string name;  // a long name where there is one; no '/' and never "." or ".."
  bool is_folder = false;
  bool deleted = false;
  bool good_name = true;  // false: bytes that no name has were replaced
  std::uint16_t start = 0;
  std::uint32_t size = 0;
  std::optional<std::int64_t> modified;
};

struct FolderText {
  std::vector<FolderEntry> entries;
  std::string label;  // of a root folder; empty when it has none
  std::optional<std::int64_t> label_time;
  bool full = true;       // no entry is left for another name
  bool has_dots = false;  // begins with "." and "..", or at least one of them in its place
};

// Reads a folder's bytes; of the root folder when `root`. Never fails: what makes no sense is marked.
FolderText parse_folder(std::string_view bytes, bool root);

}  // namespace keepway::media
