// From text to items: every reader gives, for each item, its value and the span of bytes in the
// original that it was read from, so that one value can later be changed in place.
//
// Readers take any bytes. They never fail: what they do not understand becomes an unread row of its
// group, and what is odd but readable becomes an Oddity.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/layout.hpp"
#include "keepway/on_progress.hpp"
#include "keepway/sha256.hpp"
#include "keepway/state.hpp"

namespace keepway {

// A reader whose normal form changes must raise this number: it is kept with every backup, so that
// a state that no longer follows from its originals is kept apart from damage.
inline constexpr int reader_version = 8;

// A file as received: bytes live at least as long as the Reading made from them.
struct OriginalView {
  std::string_view name;
  std::string_view bytes;
  std::optional<Sha256> sum = std::nullopt;  // of the bytes: what a ReadingMemory is asked by
};

// Bytes [at, at + length) of original `file` (its index in the list read).
struct Span {
  std::uint32_t file = 0;
  std::uint64_t at = 0;
  std::uint64_t length = 0;
  std::uint64_t line = 0;  // line on which it begins, from 1
};

// Where an item of the state came from.
struct Origin {
  Group group = Group::parameters;
  std::string key;           // program name for programs
  Span span;                 // of the value alone; of the whole program text for programs
  std::uint32_t source = 0;  // index in Layout::sources
  FieldKind kind = FieldKind::number;
  std::uint8_t from = 0;  // words: the letter; columns: the column, from 0
};

// The letter or column that a value was read from, as the layout calls it; empty where a row has but one.
std::string from_of(const Origin& origin, const Source& source);

// A value that does not count, since a later row of its file, or of another, gives the same item.
struct Overruled {
  Group group = Group::parameters;
  std::string key;
  std::string value;
  Span span;
  Span by;  // the value that counts instead, or the row of it
};

// What is known of one program beside its text.
struct ProgramFacts {
  std::string name;
  Span span;
  std::uint32_t source = 0;
  bool numbered = false;  // or named: by its text, or numbered by its file's name
  bool by_file = false;   // the file is the program: Source::program
  bool ended = false;     // holds M2, M30 or M99, what its source calls an end, or the closing % of its file
  // Programs called by the layout's call words: "O710"; where files are programs, the name of the one meant.
  std::vector<std::string> calls;
  std::vector<Span> call_spans;  // one for each call: the P word
  // Lines of the text that no reader understood: how many, and where the first of them are.
  static constexpr std::size_t most_unread = 100;
  std::size_t unread = 0;
  std::vector<Span> unread_spans;
  // One for each call, mostly empty: what `M98 P30710` calls on a control that reads it as three times
  // O710 (common practice, no source).
  std::vector<std::string> calls_without_count;
};

enum class OddityKind {
  parity,      // bytes carry even parity in bit 8
  bad_parity,  // some bytes do not have the parity that all others have
  leader,      // NUL, DEL or device-control bytes
  byte_order_mark,
  line_ends,  // mixed or unusual
  long_line,  // over 256 characters (NISTIR 6556, 3.3.1)
  no_final_newline,
  no_header_blank,   // header not followed by a blank line
  repeated_row,      // a key given again; the last counts
  clashing_files,    // two files of the backup give one item two values
  descending_row,    // keys not in ascending order where the form wants it
  missing_required,  // a required key is not there
  bad_value,         // a value the form does not allow
  unread,            // text that no reader understood
  mark_unclosed,     // opened with %, never closed
  after_mark,        // text after the closing %
  no_end,            // program without M2, M30, M99
  cut_line,          // last line has no line end and does not read whole
  same_program,      // same number twice, same text
  clashing_program,  // same number twice, different text
  too_large,         // over a reader's bound; kept as original only
  number_from_name,  // program number taken from the file's name
  other_serial,      // a line carries another serial than the machine's
  clashing_rows,     // two rows of one file give one item two values; the last counts
};
struct Oddity {
  OddityKind kind = OddityKind::unread;
  Place place;
  std::string detail;  // for people, with no control bytes
  Group group = Group::programs;
};

// How each file of the backup was taken.
struct FileFacts {
  static constexpr std::uint32_t no_source = UINT32_MAX;
  std::uint32_t source = no_source;  // first source that took it
  bool wrong_serial = false;
  bool parity = false;  // new bytes written into it need parity too
  std::size_t items = 0;
};

struct Reading {
  State state;
  std::vector<Origin> origins;  // by group, then natural order of key; programs by name
  std::vector<ProgramFacts> programs;
  std::vector<Overruled> overruled;  // by place in the files
  std::vector<Oddity> oddities;
  std::vector<FileFacts> files;  // one for each original

  [[nodiscard]] const Origin* origin(Group group, std::string_view key) const;
};

// Facts of a machine that reading depends on.
struct ReadContext {
  std::string serial;
  Units units = Units::inch;
};

// What each file of a backup was read as, so that the next backup's files that are the same need no reading
// again. Told by name and SHA-256; holds up to 64 MiB. For one layout and one context.
class ReadingMemory {
 public:
  ReadingMemory();
  ReadingMemory(const ReadingMemory&) = delete;
  ReadingMemory& operator=(const ReadingMemory&) = delete;
  ReadingMemory(ReadingMemory&&) noexcept;
  ReadingMemory& operator=(ReadingMemory&&) noexcept;
  ~ReadingMemory();

  // Tells by its sum whether a file came with the backup before. Then the memory need not hold the sums of
  // files whose readings it does not hold, which are new with each backup.
  void came_before(std::function<bool(const Sha256&)> came);

  // What the last read_backup() with it met, to be kept for another process, and back. `reader` names what
  // the readings depend on: layout, context and the readers' version. Bytes for another reader give nullopt,
  // and so do those that write() cannot have given.
  [[nodiscard]] std::string write(const Sha256& reader) const;
  static std::optional<ReadingMemory> read(std::string bytes, const Sha256& reader);
  // Whether the last read_backup() met anything that was not remembered.
  [[nodiscard]] bool changed() const;
  // Whether each of the files that is remembered is so as reading it now gives.
  [[nodiscard]] bool agrees(const Layout& layout, const ReadContext& context,
                            const std::vector<OriginalView>& files) const;

  struct Impl;
  Impl& impl() { return *impl_; }

 private:
  std::unique_ptr<Impl> impl_;
};

// Reads a whole backup: each file by the first source whose pattern takes it (by every source with
// `begins`, where several share a stream), joined into one state. The same with and without a memory.
Reading read_backup(const Layout& layout, const ReadContext& context, const std::vector<OriginalView>& files,
                    ReadingMemory* memory = nullptr, const OnProgress& on_progress = {});

// Normal form of program text alone (one block a line): as in the state. Lines over 64 KiB, or with a
// longer normal form, are kept as their text, escaped. The normal form of a normal form is itself.
std::string normal_program(std::string_view text, const Source& source, Units units);

}  // namespace keepway
