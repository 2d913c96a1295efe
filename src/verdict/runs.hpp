// Runs of one byte in a file, and how long they usually are in files of its kind.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string_view>

#include "verdict/case.hpp"

namespace keepway::verdict {

struct Run {
  std::size_t at = 0;
  std::size_t length = 0;
};
using Runs = std::array<Run, 256>;  // the longest of each byte

// Calls `visit(run)` for each run of one byte, in order.
template <class Visit>
void each_run(std::string_view bytes, const Visit& visit) {
  for (std::size_t at = 0; at < bytes.size();) {
    std::size_t end = at + 1;
    while (end < bytes.size() && bytes[end] == bytes[at]) ++end;
    visit(Run{at, end - at});
    at = end;
  }
}

// The same for those of at least so many bytes. Each of them holds one of the bytes that are looked at.
template <class Visit>
void each_long_run(std::string_view bytes, std::size_t least, const Visit& visit) {
  for (std::size_t at = least - 1; at < bytes.size();) {
    std::size_t begin = at;
    while (begin > 0 && bytes[begin - 1] == bytes[at]) --begin;
    std::size_t end = at + 1;
    while (end < bytes.size() && bytes[end] == bytes[at]) ++end;
    if (end - begin >= least) visit(Run{begin, end - begin});
    at = end + least - 1;
  }
}

Runs longest_runs(std::string_view bytes);

// Of a backup's files, source by source; each is gone through once.
class UsualRuns {
 public:
  explicit UsualRuns(const Case& in) : in_(in) {}

  // The longest run of a byte in the other files of a file's source. nullopt where there are too few to tell,
  // and where the backup is a machine's first.
  std::optional<std::size_t> in_others(std::size_t file, unsigned char byte);
  // Whether another file of a file's source begins or ends with a byte, as with a tape's leader.
  [[nodiscard]] bool at_edge_of_others(std::size_t file, unsigned char byte) const;

 private:
  struct Longest {
    std::size_t length = 0;
    std::size_t file = 0;
    std::size_t next = 0;  // in the other files
  };
  struct OfSource {
    std::size_t files = 0;
    std::array<Longest, 256> longest{};
  };

  const OfSource& of(std::uint32_t source);

  const Case& in_;
  std::map<std::uint32_t, OfSource> sources_;
};

}  // namespace keepway::verdict
