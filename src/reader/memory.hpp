// How a ReadingMemory holds what it was given: each file's output as bytes, which serves the next backup in
// this process and in others.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "reader/join.hpp"

namespace keepway {
namespace reader {

// One file by itself: by its source, cut into parts where several share a stream.
void read_file(const Layout& layout, const ReadContext& context, const OriginalView& original,
               std::uint32_t index, FileOutput& out);

std::string write_output(const FileOutput& output);
// The output of the file that is `file`th in the list read. nullopt for bytes that write_output() cannot have
// written.
std::optional<FileOutput> read_output(std::string_view bytes, std::uint32_t file);

}  // namespace reader

struct ReadingMemory::Impl {
  struct Held {
    Sha256 sum{};
    std::string_view output;  // in `own`, or in `loaded`
    std::string own;
  };
  struct File : Held {
    std::size_t met = 0;  // the last read_backup() that met it
    // Where this process found it before: the same, and what it gave as the file at a place. What comes again
    // is copied, and shares its texts.
    std::shared_ptr<const reader::FileOutput> found;
    std::uint32_t place = 0;
    std::unique_ptr<Held> was;  // what it was before the last read_backup() met another
  };
  std::string loaded;  // what another process wrote
  std::map<std::string, File, std::less<>> files;
  std::size_t bytes = 0;
  std::size_t reads = 0;
  bool changed = false;
  std::function<bool(const Sha256&)> came_before;

  // Before each read_backup().
  void begin();
  std::optional<reader::FileOutput> find(const OriginalView& file, std::uint32_t place);
  // The file, as it is or as it was before; null where its output is not held.
  [[nodiscard]] const Held* held(const OriginalView& file) const;
  void keep(const OriginalView& file, const reader::FileOutput& output);
};

}  // namespace keepway
