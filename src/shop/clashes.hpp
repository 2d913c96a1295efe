// clashes.tsv: what two PCs edited and a person has to choose; and the three files that people or people's
// words change on several PCs, joined row by row and key by key.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/clashes.hpp"

namespace keepway {

inline constexpr std::string_view clashes_path = "clashes.tsv";

std::string write_clashes(std::vector<EditClash> clashes);
// Error{input} with line, for anything that write_clashes() does not write.
std::vector<EditClash> parse_clashes(std::string_view tsv);

// What a file says under a key, as a EditClash holds it; empty where it says nothing. Not for whole files.
// Error{input} when it cannot be read.
std::string said_in(const std::string& file, std::string_view text, const std::string& key);
// The same file with that said instead. Error{input}; Error{refused} when it cannot be edited safely.
std::string with_said(const std::string& file, const std::string& text, const std::string& key,
                      const std::string& said);

struct Joined {
  std::string text;
  std::vector<EditClash> clashes;  // whose later is kept
};
// A file that two PCs edited, from what both began with: the first's text with the later's edits in it.
// Nothing for a file that has no rows or keys, or cannot be read.
std::optional<Joined> join_edits(const std::string& file, const std::string& base, const std::string& first,
                                 const std::string& later);
// clashes.tsv of two PCs joined: what either settled is settled.
std::vector<EditClash> join_clashes(const std::vector<EditClash>& base, const std::vector<EditClash>& first,
                                    const std::vector<EditClash>& later);

}  // namespace keepway
