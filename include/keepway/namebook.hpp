// The namebook: what the machine's owner typed from its manual. A tab-separated table, one item a
// line; the first line names the columns. Joined to items at display, never stored with them.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/decimal.hpp"
#include "keepway/state.hpp"

namespace keepway {

namespace book {
class Lookup;
}

enum class Kind {
  number,
  yesno,   // 0 or 1
  bits,    // a whole number, each bit with a meaning
  binary,  // the same, written in the file as binary digits
  choice,  // a number from a list of meanings
  text,
};

struct Meaning {
  std::string value;  // bit number for bits and binary, the value for choice
  std::string name;
};

struct Entry {
  std::string address;  // "settings/47"; a `*` stands for one part: "offsets/tool/*/length"
  std::string name;     // "Tool * length": `*` takes the parts in turn
  std::string
      unit;  // "length" is the machine's own unit, shown in inch and mm; else as written: "deg", "rpm"
  Kind kind = Kind::number;
  std::optional<Decimal> min;
  std::optional<Decimal> max;
  std::optional<Decimal> step;  // a change larger than this is warned of
  std::vector<Meaning> meanings;
  bool living = false;       // differs from backup to backup by nature: a clock, a part counter
  bool own = false;          // belongs to this one machine: screw compensation, serial number
  bool power_cycle = false;  // takes effect after the power was off
  std::string caution;
  std::string default_value = "0";  // for telling lost memory
};

class Namebook {
 public:
  // Error{input} with file and line.
  static Namebook parse(std::string_view tsv, const std::string& file);
  [[nodiscard]] std::string write() const;
  static Namebook of(std::vector<Entry> entries);

  // The row for an item; nullptr when there is none. A row for the item's own address wins over patterns, and
  // what it leaves unsaid is as the first pattern in the file that fits says; without such a row that pattern
  // itself, its `*` as typed. Lives as long as the book: for one who asks of thousands of items.
  [[nodiscard]] const Entry* row(Group group, std::string_view key) const;
  // The same as an entry of its own, for the item's address and with the `*` filled in.
  [[nodiscard]] std::optional<Entry> find(Group group, std::string_view key) const;
  // Name of an item, or its address when the book has none.
  [[nodiscard]] std::string name(Group group, std::string_view key) const;

  [[nodiscard]] const std::vector<Entry>& entries() const { return entries_; }

 private:
  std::vector<Entry> entries_;
  std::vector<Entry> rows_;                     // the same, rows for one address completed by their patterns
  std::shared_ptr<const book::Lookup> lookup_;  // of their places; null for a book without rows
};

// A namebook as a spreadsheet takes it: comma-separated (RFC 4180), lines ended CR LF, the columns of
// namebook.tsv. Of entries with one address only the one that counts is given.
std::string namebook_csv(const Namebook& book);
// Reads such a file, with any of the columns in any order, lines ended LF or CR LF, a byte order mark or
// none, in UTF-8 or ISO 8859-1; parted by commas, or by semicolons and then with a decimal comma.
// Error{input} with file, line and byte: of the cell that is wrong, of where the quotes do not pair, of what
// is no text.
std::vector<Entry> read_namebook_csv(std::string_view csv, const std::string& file);

// namebook.tsv with these entries set, each at its address, and all else (comments, other rows, the columns'
// order) as the owner wrote it: a row is rewritten only when it says something else. New ones are added at
// the end, columns that are missing behind the last. Errors as of Namebook::parse, and Error{input} for an
// entry with a tab or a line end.
std::string set_entries(std::string_view tsv, const std::string& file, const std::vector<Entry>& entries);
// The same without the row of an address; nullopt when it has none.
std::optional<std::string> remove_entry(std::string_view tsv, const std::string& file,
                                        const std::string& address);
// A namebook that two people edited, from what both began with: the first's text with the later's edits in
// it, entry by entry, so that names that both added are all there. Where both set one entry otherwise the
// later's is taken, and its address listed. Error{input} where one of the three cannot be read.
struct JoinedNames {
  std::string text;
  std::vector<std::string> clashing;  // addresses
};
JoinedNames join_namebooks(std::string_view base, std::string_view first, std::string_view later,
                           const std::string& file);
std::string_view kind_name(Kind kind);
std::optional<Kind> parse_kind(std::string_view name);

}  // namespace keepway
