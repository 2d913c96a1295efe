// One state out of what was read from every file, in the order of the files.
#pragma once

#include <vector>

#include "reader/parts.hpp"

namespace keepway::reader {

// What one file gave, part by part.
struct FileOutput {
  struct Read {
    std::uint32_t source = FileFacts::no_source;
    Output output;
  };
  std::vector<Read> parts;
  FileFacts facts;
  std::vector<Oddity> oddities;  // of the file's bytes
};

inline constexpr std::size_t max_unread_text = 4096;     // bytes kept of a row
inline constexpr std::size_t max_unread_rows = 100'000;  // kept in a group

// Takes `files` apart.
Reading join(const Layout& layout, std::vector<FileOutput>&& files,
             const std::vector<OriginalView>& originals);

}  // namespace keepway::reader
