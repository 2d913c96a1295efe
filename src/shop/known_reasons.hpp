// The reasons that people accepted, in `reasons.tsv` of the machine's repository: one row a reason,
// tab-separated with the escapes of the normal form, under a first line that names the columns. A backup that
// was good or accepted leaves there what it still had; taking one back is a commit on top that leaves its row
// out. It comes with clones and syncs like all else.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "keepway/verdict.hpp"

namespace keepway {

inline constexpr std::string_view reasons_path = "reasons.tsv";

std::string write_known_reasons(const std::vector<KnownReason>& reasons);
// Error{input} with line, for anything that write_known_reasons() does not write.
std::vector<KnownReason> parse_known_reasons(std::string_view tsv);

// What is known after a backup: of a good one, what it still had; of an accepted one, all that it had; of any
// other, and of one that is late, what was known before: it is not what the next is like.
struct Standing {
  bool good = false;
  bool accepted = false;
  int number = 0;
  std::int64_t at = 0;  // of the intake
  std::string by;
  bool late = false;
};
std::vector<KnownReason> known_after(const std::vector<KnownReason>& before,
                                     const std::vector<KnownReason>& present, const Standing& standing);

}  // namespace keepway
