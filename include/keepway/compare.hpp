// The difference between two states, in terms of the machine rather than of text.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "keepway/state.hpp"

namespace keepway {

struct ValueChange {
  Group group = Group::parameters;
  std::string key;
  std::optional<std::string> before;  // absent: added
  std::optional<std::string> after;   // absent: removed
  std::string note = {};              // what only the files tell (compare_spelling()); mostly empty
};

enum class ProgramChangeKind {
  added,
  removed,
  changed,     // motion, feeds, tools: what the machine does
  comments,    // only comments differ
  renumbered,  // only N words differ
  renamed,     // same text under another number or name; `before_name` is the old one
};

// A code that stays in force for what follows, and one of its modal group in its place.
struct ModeChange {
  std::string before;  // the block that had it
  std::string after;
  std::string meaning;  // "units G21 to G20 (mm to inch)"
};

// One stretch of blocks that differs. Either side may be empty.
struct BlockChange {
  std::size_t before_line = 0;  // first block's place in its program, from 1
  std::size_t after_line = 0;
  std::vector<std::string> before;
  std::vector<std::string> after;
  // "feed 20 to 25", "now G1 where G0 was (rapid to feed)", as far as the modal groups of NISTIR 6556, 3.4,
  // tell; exact numbers in the program's own units. May be empty.
  std::vector<std::string> meaning;
  // Blocks that moved at feed and move at rapid now, as they were and as they are: of the stretch, or the
  // same block behind it that moves so by what the stretch leaves in force.
  std::vector<std::pair<std::string, std::string>> to_rapid = {};
  std::vector<ModeChange> modes = {};
};

struct ProgramChange {
  ProgramChangeKind kind = ProgramChangeKind::changed;
  std::string name;
  std::string before_name;
  std::vector<BlockChange> blocks;
  std::size_t comment_blocks = 0;  // of `blocks`, how many differ in comments alone
  std::size_t renumbered = 0;      // blocks beside those that are the same under another N word
};

struct Changes {
  std::vector<ValueChange> values;      // by group, most dangerous first, then natural order of key
  std::vector<ProgramChange> programs;  // natural order of name
  // Groups that only the state before, or only the one after, speaks of. Their values are in `values`
  // as removed or added, but what differs may be the backup rather than the machine.
  std::vector<Group> gone;
  std::vector<Group> come;
  [[nodiscard]] bool empty() const { return values.empty() && programs.empty(); }
};

// Programs pair by name; those left over pair by text (`renamed`). Work and memory grow with the size of the
// two states, whatever is in them.
Changes compare(const State& before, const State& after);
// Both in natural order, keys unique.
std::vector<ValueChange> compare_tables(Group group, const Table& before, const Table& after);
// Two programs in normal form. nullopt when the texts are equal. Names are the caller's to fill in. N words
// do not count in telling which blocks differ.
std::optional<ProgramChange> compare_programs(std::string_view before, std::string_view after);

// "2 parameters changed, 3 offsets changed, program O1234 added": one line, for a commit's summary and for
// lists, most dangerous group first; "no change" when there is none.
std::string gist(const Changes& changes);

}  // namespace keepway
