// How one control writes its memory: which files, which reader, which columns. A layout is a TOML
// file that the machine's owner writes; src/layout/LAYOUT.md describes the form and shows a whole example.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/decimal.hpp"
#include "keepway/state.hpp"

namespace keepway {

enum class ReaderKind { blocks, words, assign, columns, sections };
std::string_view reader_name(ReaderKind kind);

// How a value of a field is read.
enum class FieldKind {
  number,  // scaled by the least increment when it has no point and the source gives one
  whole,   // a number that never counts in increments (a pocket, a code)
  text,    // as written, without blanks at its ends
  any,     // a number where it is one, else a text, which may not begin as a number does: OFF, but not 1O5
};

// A letter (words) or a column (columns) that holds a value. An empty name means that the value is
// the row's own: key `47` rather than `47/P`.
struct Field {
  std::string from;
  std::string name;
  FieldKind kind = FieldKind::number;
};

// What makes a row an item. For `words` a source may have several, tried in order; the first whose
// words and address letters the row has is its rule. A rule without fields knows the row and keeps nothing.
struct RowRule {
  std::vector<std::string> match;  // words that the row must have, canonical: "G10", "L2"; "G" alone: any G
  std::string address;             // key with {letter} or {column}: "work/{P}"
  std::map<std::string, std::map<std::string, std::string>> rename;  // P -> (1 -> G54)
  std::vector<Field> fields;
};

// Rows whose whole-number key lies in first..last go to `group` under names of their own. Written
// `"5221-5226" = "offsets/work/G54/{X,Y,Z,A,B,C}"`; braces may also hold a range, `{1-200}`.
struct PlaceRule {
  long first = 0;
  long last = 0;
  Group group = Group::offsets;
  std::vector<std::string> keys;  // one a number: "work/G54/X", "work/G54/Y", …
};

// How a row of `assign` is written: "#{key}={value}". Blanks do not count, nor does the case of letters.
struct Shape {
  std::string before = "#";  // what the key follows; where it ends in a letter, the key begins with a digit
  bool letter = false;       // "{letter}{key}": letters before a number, both parts of the address
  std::string equals = "=";  // between key and value
  std::string after;         // behind the value
};

// How a row of `columns` is written: `TOOL {number}: LEN={length}`. Blanks do not count, nor does the case of
// letters.
struct RowShape {
  // What is in front of each cell; " ": blanks alone part it from the one before. A sign that is given twice
  // or more, as in "..", is any run of it.
  std::vector<std::string> before;
  std::string after;  // behind the last
};

// How numbers are written, where that is not as everywhere else.
struct NumberForm {
  bool comma = false;        // "75,2": the decimal point is a comma
  bool sign_behind = false;  // "75.2-"
  bool exponent = false;     // "7.52E+01" may be written
};

struct Column {
  std::string name;
  // A `whole` or `number` column without one is not a row (so that headers are no rows).
  // Columns that a field takes have the field's kind.
  FieldKind kind = FieldKind::text;
  std::size_t at = 0;     // fixed width only: first byte of the line, from 0
  std::size_t width = 0;  // fixed width only
};
// comma: or what else Source::separator is; shape: as Source::row_shape says
enum class Split { blanks, tab, comma, fixed, shape };

enum class Header {
  none,   // every line is data
  lines,  // a fixed number of lines
  blank,  // all up to and with the first blank line, when there is one followed by a row (NISTIR 6556, 2.3
          // and 3.2.1); without one, or when the line above it is a row already: lines that do not read as
          // rows before the first row
};

struct Range {
  long first = 0;
  long last = 0;
};

// What the form allows as the values of rows whose whole-number key lies in `keys`.
struct Limit {
  Range keys;
  std::optional<Decimal> min;
  std::optional<Decimal> max;
  bool whole = false;
};

// Least increment: what a number without a decimal point counts in, by the units in force.
struct Increment {
  std::optional<Decimal> inch;
  std::optional<Decimal> mm;
  [[nodiscard]] const std::optional<Decimal>& in(Units units) const {
    return units == Units::inch ? inch : mm;
  }
};

// What a decimal point does.
enum class Point {
  counts,  // a number without one counts in the least increment: `7.` and `7` are two values, but where that
           // increment is known, by which both are exact (common practice, no source)
  free,    // it changes nothing (NISTIR 6556, 3.3.2.1)
};

// What one program is.
enum class ProgramIs {
  number,  // what begins with a program number; several in a file
  file,    // each file, called by its path without the ending (NISTIR 6556 has no O word)
};

// What a line that begins with `%` does in a file of programs.
enum class Mark {
  pair,     // the first opens, the next closes (NISTIR 6556, 3.3)
  heading,  // each begins a program
  none,     // nothing
};

// One kind of file a control writes, and how it is read. One group may have several sources, and a
// source's rows may go to other groups by its `places`.
struct Source {
  Group group = Group::programs;
  std::vector<std::string> files;  // patterns with * ? and {serial}; letter case does not count
  ReaderKind reader = ReaderKind::blocks;
  bool required = false;              // a full backup has at least one such file
  bool data = true;                   // false: no line of its files is data; they are only kept
  std::vector<std::string> comments;  // openers: "(" closes with ")", others run to the line's end
  Point point = Point::counts;
  std::optional<Increment> increment;             // of all that counts, but for:
  std::map<std::string, Increment> increment_of;  // by letter (blocks, words) or column
  std::vector<RowRule> rows;  // words, columns, assign, sections (the last two: at most one)
  std::vector<PlaceRule> places;
  Header header = Header::none;
  std::size_t header_lines = 0;
  Split split = Split::blanks;
  char separator = ',';  // of Split::comma: any sign
  std::vector<Column> columns;
  std::vector<std::string>
      between;  // columns: texts that are not values, outside fixed columns or between blanks
  std::vector<std::string> no_value;  // columns: what stands in a cell that has none: "-"
  // columns, but fixed ones and shapes: records side by side in a line; of words, each begins with the line's
  // first letter
  std::size_t across = 1;
  RowShape row_shape;  // columns: of Split::shape
  // columns, assign, words: the line that names the part which the rows below it are of, "TOOL {part}"; a
  // second cell, "TOOL {part} {name}", may hold a text. Without cells: none.
  RowShape part;
  std::string part_field;       // what that text is called; empty: there is none
  Shape shape;                  // assign
  NumberForm numbers;           // all readers but blocks; of words, only the comma
  bool carried = false;         // columns, fixed: an empty cell of the key is that of the row above
  bool quoted = false;          // sections: a key or value may be in double quotes, which are no part of it
  bool empty_rows = false;      // columns, assign: a row may have its key alone, and is no item then
  std::string comment_field;    // words: name of the field that keeps a row's comment; empty: not kept
  bool number_repeats = false;  // a key given again becomes key.2, key.3; else the last counts
  bool last_counts = false;     // it may have another value: the control takes the last, too
  std::vector<Range> protected_programs;     // blocks: number ranges hidden while the program lock is on
  std::vector<std::string> calls = {"M98"};  // blocks: words whose P calls a program, in normal form
  // blocks: words of two letters or more, in capitals, that may follow each other without a blank
  std::vector<std::string> flow;
  std::string increment_letters;          // blocks: letters that `increment` is of
  ProgramIs program = ProgramIs::number;  // blocks
  // blocks: what comes before a program's number where one begins: "O", ":", "%P"; any letter case.
  std::vector<std::string> number_forms = {"O", ":"};
  // blocks: the line that names the program it begins, with one cell, as in "<{name}>"; without cells: none.
  RowShape named_by;
  // blocks: what else ends a program than M2, M30, M99 and %: "M0", "RETURN", in capitals without blanks.
  std::vector<std::string> ends;
  bool endless = false;        // blocks: nothing ends a program, so that a missing end says nothing
  bool number_in_name = true;  // blocks: a file without a number in its text has the one in its name:
                               // `O12.NC`, `12.NC`
  Mark mark = Mark::pair;      // blocks
  std::size_t order = 0;       // order of loading at a restore; lower first
  // Text that the first data line begins with (blanks skipped, letters of any case, and a word taken
  // whole: "T" fits `T3`, not `Tool`; "G1" not `G10`). A file whose first matching source says so is cut
  // into parts at lines that hold only `%`; each part goes to the first matching source whose `begins`
  // fits or is empty. So one rule serves both several groups in one capture and two forms of one file.
  std::string begins;
  // Pattern of the line behind which this source's part of a file begins; the next such line of another
  // source ends it. A file whose first matching source has one is cut at these lines, and at no others. A
  // line that names a program, as named_by says with a word, is a part of the text.
  std::string under;
  // Patterns, with * and ?, of lines that are no data. They read as blank lines: a span never lies in one.
  std::vector<std::string> skip;
  // Pattern of a line that carries {serial}; the line is no data. Another serial there than the machine's is
  // an oddity.
  std::string serial;
  // The character set of texts, by a name that iconv knows; keys and values are UTF-8. Empty: as received.
  std::string encoding;
  // What the form demands of rows with whole-number keys, kept as oddities where it is not met.
  bool ascending = false;   // each key is above the one before
  std::vector<Range> must;  // keys that have to be there
  std::size_t size = 0;     // rows that the control always prints; 0: not known
  std::vector<Limit> limits;
};

struct Layout {
  std::string name;  // the file's, without folder and ending
  std::string title;
  std::optional<Units> units;  // of the control's numbers; the machine may say otherwise
  std::vector<Source> sources;
};

// What a number without a point counts in, at a letter or column that is a value there; nullptr: not known.
const Decimal* least_increment(const Source& source, Units units, const std::string& from);
// The same of a program's words: `letter` is a capital.
const Decimal* word_increment(const Source& source, Units units, char letter);

// Reads a layout. Error{input} with file, line and what was expected.
Layout parse_layout(std::string_view toml, const std::string& file);

// Layouts that come with keepway, as TOML text. nullopt for an unknown name.
std::optional<std::string_view> builtin_layout(std::string_view name);
std::optional<std::string_view> builtin_namebook(std::string_view name);
std::vector<std::string_view> builtin_layout_names();

// How a file's name stands to a source's patterns.
enum class NameMatch {
  no,
  yes,
  wrong_serial,  // matches but for the serial that it should carry
};
// Patterns with a '/' are matched with the whole name, others against its last part.
NameMatch match_name(const Source& source, std::string_view name, std::string_view serial);
// Whether any pattern has a '/'.
bool has_folders(const Layout& layout);

}  // namespace keepway
