// What a machine holds in memory, as named items: the middle of keepway.
//
// A State is groups of items. An item is one value in a table (`offsets`, key `work/G54/X`, value
// `-4.25`) or one program. Values are canonical text: a number in its canonical spelling (see
// decimal.hpp), or any other text as written. Names never appear here: they are joined at display.
//
// The normal form is the text a State has in a machine's repository. It is stable (the same state
// always gives the same bytes), one row an item, and it reads back to the same State.
#pragma once

#include <array>
#include <compare>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/error.hpp"
#include "keepway/shared_text.hpp"
#include "keepway/text.hpp"

namespace keepway {

// The trade's five. The order is the order of danger when a value is wrong, most dangerous first;
// lists made for people follow it.
enum class Group { parameters, settings, offsets, variables, programs };
inline constexpr std::array<Group, 5> all_groups = {Group::parameters, Group::settings, Group::offsets,
                                                    Group::variables, Group::programs};
std::string_view group_name(Group group);
std::optional<Group> parse_group(std::string_view name);

enum class Units { inch, mm };
std::string_view units_name(Units units);
std::optional<Units> parse_units(std::string_view name);

// How a person names an item: `group/key`. The key may have slashes itself (`work/G54/X`); an
// empty key means the whole group, and `settings/16/*` what is below `settings/16`, without a value of its
// own. `programs/O01234` and `programs/O1234` are the same address.
struct Address {
  Group group = Group::parameters;
  std::string key;

  // Throws Error{usage} naming the five groups when the text does not begin with one of them.
  static Address parse(std::string_view text);
  [[nodiscard]] std::string text() const;
  friend bool operator==(const Address&, const Address&) = default;
};

// Order of keys as people count: digits compare as numbers (`2` before `10`), `/` sorts before all
// else, so that a table's rows stay together. A total order: equal only for equal text.
std::strong_ordering natural_order(std::string_view a, std::string_view b);
// Appends bytes that compare as natural_order() does, but for texts equal as numbers, which come out the
// same: for sorting many. False, with nothing sound appended, for a text that it cannot be done for.
bool append_natural_key(std::string_view text, std::string& out);
struct NaturalLess {
  using is_transparent = void;
  bool operator()(std::string_view a, std::string_view b) const { return natural_order(a, b) < 0; }
};

struct Item {
  std::string key;    // inside its group: "500", "work/G54/X"
  std::string value;  // canonical
  friend bool operator==(const Item&, const Item&) = default;
};

// Items of one group, in natural order, keys unique. Rows that no reader understood are items too,
// with keys that begin with `unread/`.
using Table = std::vector<Item>;
inline constexpr std::string_view unread_prefix = "unread/";
bool is_unread(std::string_view key);
// The key of an unread row: a digest of its text, so that it does not move when others come or go.
std::string unread_key(std::string_view text);
const Item* find_item(const Table& table, std::string_view key);
// The same for one who asks for many keys in the table's own order, as another table's items come: a step for
// each.
class ItemCursor {
 public:
  explicit ItemCursor(const Table& table) : table_(table) {}
  const Item* find(std::string_view key);

 private:
  const Table& table_;
  std::size_t at_ = 0;
};

struct Program {
  std::string name;  // "O1234", or the file's path for a program without a number
  SharedText text;   // normal form: one block a line, each line ended
  friend bool operator==(const Program&, const Program&) = default;
};

struct State {
  // By group; absent when no file of the backup spoke of the group. The programs' table holds
  // nothing but unread rows.
  std::array<std::optional<Table>, 5> tables;
  std::vector<Program> programs;  // natural order of name, names unique

  [[nodiscard]] const std::optional<Table>& table(Group group) const {
    return tables[static_cast<std::size_t>(group)];
  }
  std::optional<Table>& table(Group group) { return tables[static_cast<std::size_t>(group)]; }
  [[nodiscard]] const Program* program(std::string_view name) const;
  friend bool operator==(const State&, const State&) = default;
};

// Whether an item lies at an address or below it: `offsets/work` covers `offsets/work/G54/X`.
bool covers(const Address& wide, const Address& item);
// Whether a state has an item, or a program, of exactly this address.
bool has_item(const State& state, const Address& address);
// As covers(), but an address that is an item itself in one of the states is that item alone: where
// `settings/16` has a value of its own, `settings/16/code` is only below `settings/16/*`.
bool covers_among(const std::vector<const State*>& states, const Address& wide, const Address& item);
// `base`, with everything at the given addresses as `other` has it, absent items included. Addresses are as
// meant among the two states, see covers_among().
State overlay(const State& base, const State& other, const std::vector<Address>& addresses);
// The same for exactly these items, and never for what is below one.
State overlay_items(const State& base, const State& other, const std::vector<Address>& items);

// Puts rows in natural order and drops all but the last of those with the same key.
void sort_table(Table& table);

// "1234" -> "O1234", leading zeros dropped. Precondition: digits only, at least one.
std::string program_name(std::string_view digits);

// --- normal form -----------------------------------------------------------------------------

// One row an item: key TAB value LF. Backslash, tab, line ends, control bytes and bytes that are
// not UTF-8 are written \\ \t \n \r \xNN, so that every row is one line of clean UTF-8.
std::string write_table(const Table& table);
// Reads what write_table wrote; Error{input} with line and byte for anything else, including rows
// out of order and keys given twice. `file` is for the message.
Table read_table(std::string_view text, std::string_view file);

// Where a group or a program lives in the repository: "state/offsets.tsv",
// "state/programs/O01234.nc". Programs without a number keep their path, escaped as originals are.
std::string table_path(Group group);
std::string program_path(std::string_view name);
std::optional<std::string> program_name_from_path(std::string_view path);

// The State as files of the repository's `state/` folder: path and content, in path order; and back.
struct StateFile {
  std::string path;
  SharedText content;
};
std::vector<StateFile> write_state(const State& state);
// Files outside state/ are passed over.
State read_state(std::vector<StateFile> files);

}  // namespace keepway
