// The difference between two states, in terms of the machine rather than of text.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/state.hpp"

namespace keepway {

struct ValueChange {
  Group group = Group::parameters;
  std::string key;
  std::optional<std::string> before;  // absent: added
  std::optional<std::string> after;   // absent: removed
};

enum class ProgramChangeKind {
  added,
  removed,
  changed,     // motion, feeds, tools: what the machine does
  comments,    // only comments differ
  renumbered,  // only N words differ
  renamed,     // same text under another number or name; `before_name` is the old one
};

// One stretch of blocks that differs. Either side may be empty.
struct BlockChange {
  std::size_t before_line = 0;  // first block's place in its program, from 1
  std::size_t after_line = 0;
  std::vector<std::string> before;
  std::vector<std::string> after;
  std::vector<std::string> meaning;  // "feed 20 to 25", "tool 3 to 4"
};

struct ProgramChange {
  ProgramChangeKind kind = ProgramChangeKind::changed;
  std::string name;
  std::string before_name;
  std::vector<BlockChange> blocks;
  std::size_t comment_blocks = 0;  // of `blocks`, how many differ in comments alone
};

struct Changes {
  std::vector<ValueChange> values;  // by group, most dangerous first, then natural order of key
  std::vector<ProgramChange> programs;
  [[nodiscard]] bool empty() const { return values.empty() && programs.empty(); }
};

Changes compare(const State& before, const State& after);
std::vector<ValueChange> compare_tables(Group group, const Table& before, const Table& after);
// nullopt when the texts are equal. Names are the caller's to fill in.
std::optional<ProgramChange> compare_programs(std::string_view before, std::string_view after);

// "3 offsets changed, 1 program added": one line, for a commit's summary and for lists.
std::string gist(const Changes& changes);

}  // namespace keepway
