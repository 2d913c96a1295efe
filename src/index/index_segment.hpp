// A segment of the index: what a run of commits changed, by name, so that the history of one item is read
// without that of the others.
//
//   form | heads | sizes of the message parts | first names and sizes of the name parts | the parts, packed
//
// A message part holds the messages of 32 commits. A name part holds names in order, each with the commits
// that changed it and the values they left. A part is deflated by itself, and only when it is asked for is it
// inflated; that of one commit alone is left as it is. Numbers and texts as in bytes.hpp.
#pragma once

#include <git2.h>

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/index.hpp"

namespace keepway::store {

using RawId = std::array<unsigned char, GIT_OID_RAWSZ>;
RawId raw_id(const Oid& oid);
Oid text_of(const RawId& raw);

struct IndexHead {
  RawId commit{};
  RawId parent{};            // the first; zeros for a root
  std::uint32_t number = 0;  // of the backup, plus one; 0 when the commit is none
  std::int64_t at = 0;
};

// What the index holds of one commit. `changes` by name, no name twice.
struct IndexedCommit {
  CommitInfo info;
  std::optional<std::uint32_t> number;
  std::vector<Change> changes;
};

inline constexpr std::size_t commits_a_segment = 256;

std::string write_segment(const std::vector<IndexedCommit>& commits);

// Looks at bytes that it does not own. Bytes that write_segment() cannot have written give wrong answers at
// worst: nothing outside them is looked at.
class Segment {
 public:
  // nullopt when the bytes do not begin as a segment does.
  static std::optional<Segment> read(std::string_view bytes);

  [[nodiscard]] std::string_view bytes() const { return bytes_; }
  [[nodiscard]] const std::vector<IndexHead>& heads() const { return heads_; }
  [[nodiscard]] CommitInfo info(std::size_t commit) const;
  // The commits that changed a name, in their order, with the value that each left.
  using Found = std::function<void(std::size_t commit, std::optional<std::string> value)>;
  void find(std::string_view name, const Found& visit) const;
  // All changes, by commit and name.
  [[nodiscard]] std::vector<std::vector<Change>> changes() const;

 private:
  struct Part {
    std::string_view first_name;  // of a name part
    std::string_view packed;
    std::size_t size = 0;
  };
  struct Opened {
    const char* part = nullptr;  // where it lies packed
    std::string bytes;
  };
  static std::string_view open(const Part& part, Opened& opened);
  std::string_view bytes_;
  std::vector<IndexHead> heads_;
  std::vector<Part> messages_;
  std::vector<Part> names_;
  mutable Opened opened_message_;  // the parts last asked for
  mutable Opened opened_name_;
};

}  // namespace keepway::store
