// Changes to the bytes of a set of originals, collected and then made all at once.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/media.hpp"
#include "keepway/reader.hpp"

namespace keepway::restore {

class Edits {
 public:
  // Both must outlive this.
  Edits(const media::Set& set, const Reading& reading);

  // A file's text: its bytes, parity bits off where it carries parity. Positions are those of the bytes.
  [[nodiscard]] std::string_view text(std::uint32_t file);

  // Exchanges [at, at + length) for `text`, given without parity; false when the file's 7 bits cannot hold
  // it. Insertions (length 0) at one place stay in the order given.
  [[nodiscard]] bool replace(std::uint32_t file, std::uint64_t at, std::uint64_t length,
                             std::string_view text);
  void drop(std::uint32_t file);
  [[nodiscard]] bool dropped(std::uint32_t file) const { return changes_[file].drop; }
  // Bytes go in as they are. Precondition: no file that stays has this name.
  void add_file(media::File file);

  struct Result {
    media::Set set;
    std::vector<std::string> touched;  // changed or added, in the set's order
    std::vector<std::string> dropped;
  };
  // nullopt when two changes overlap.
  [[nodiscard]] std::optional<Result> apply() const;

 private:
  struct Edit {
    std::uint64_t at = 0;
    std::uint64_t length = 0;
    std::string bytes;
  };
  struct FileChanges {
    std::vector<Edit> edits;
    bool drop = false;
    std::optional<std::string> text;  // parity taken off, when it was asked for
  };
  static std::optional<std::string> edited(const std::string& bytes, std::vector<Edit> edits);

  const media::Set& set_;
  const Reading& reading_;
  std::vector<FileChanges> changes_;
  std::vector<media::File> added_;
};

}  // namespace keepway::restore
