// Reading and writing the media that backups travel on. Knows bytes and names, never what is in
// the files.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "keepway/error.hpp"

namespace keepway::media {

// Bounds on what is taken in, so that hostile media cost no more than this.
inline constexpr std::uint64_t max_file_bytes = 256ULL << 20;
inline constexpr std::uint64_t max_set_bytes = 512ULL << 20;
inline constexpr std::size_t max_files = 100'000;
inline constexpr std::size_t max_depth = 64;

// One file as received. `name` is its path below the medium's root, parts joined by '/', any bytes.
struct File {
  std::string name;
  std::string bytes;
  std::optional<std::int64_t> modified = std::nullopt;  // seconds since 1970-01-01 UTC
};

// Something wrong with the medium or a file on it, that did not stop the reading.
struct Flaw {
  std::string file;  // name of the file, empty for the medium itself
  std::string what;
  std::string remedy;
};

// All that came off one medium. Files are sorted by name (bytes), names unique.
struct Set {
  std::vector<File> files;
  std::vector<std::string> empty_folders;
  std::vector<Flaw> flaws;
  std::string source;  // for people: "folder drawer/2026-03-02"

  [[nodiscard]] std::optional<std::int64_t> newest() const;
};

// Takes in a folder, walked with its sub-folders, or a single file. Never writes to it.
// Error{input} if it is not there or cannot be read, or over the bounds; Error{refused} for links, pipes
// and devices inside the folder, which no control writes.
Set read(const std::filesystem::path& path);

// Writes a set into `folder`, which must be absent or empty (Error{refused} otherwise), syncs it,
// reads every file back and compares SHA-256; Error{store} when a disk fails or lies. File times are set
// to File::modified where there is one. On failure what was written is taken away again.
void write_folder(const Set& set, const std::filesystem::path& folder);

// Lower-case hex.
std::string sha256(std::string_view bytes);

}  // namespace keepway::media
