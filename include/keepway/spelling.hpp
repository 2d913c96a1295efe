// Where two backups' files differ in their bytes and not in what they say: another number of zeros, a comment
// that is not kept, line ends, a line of a heading. "No change" is only true where all bytes are the same. Of
// a file in which nothing was read, only that it changed is known.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/compare.hpp"
#include "keepway/layout.hpp"
#include "keepway/media.hpp"
#include "keepway/reader.hpp"

namespace keepway {

// One line as received, with its line end, on either side, in UTF-8 where the layout says the character set;
// 0 and empty where a side has none.
struct SpelledLine {
  std::uint64_t before_line = 0;  // from 1
  std::uint64_t after_line = 0;
  std::string before;
  std::string after;
};

// A value of a row that does not count, since another row gives the same item: it says other than before. A
// line of 0 and no value where a side has none.
struct OverruledChange {
  Address address;
  std::uint64_t before_line = 0;  // from 1
  std::uint64_t after_line = 0;
  std::optional<std::string> before;
  std::optional<std::string> after;
  std::string in_force;  // the value that counts; empty where the item is not there, for all of a row counts
  std::string by_file;   // where the row that counts is
  std::uint64_t by_line = 0;
};

struct SpelledFile {
  static constexpr std::size_t most_lines = 1000;
  enum class Read {
    yes,        // on either side something was
    no_source,  // none of the layout takes it: what it says is not known
    nothing,    // one takes it, and understood nothing in it
  };
  std::string name;
  Read read = Read::yes;
  bool came = false;  // whole, saying nothing
  bool gone = false;
  std::vector<SpelledLine> lines;          // the first of them
  std::size_t count = 0;                   // of lines
  std::vector<OverruledChange> overruled;  // the first of them
  std::size_t overruled_count = 0;
};

// A backup's files and how they are read. All must outlive the call.
struct SpelledSide {
  const media::Set& set;
  const Layout& layout;
  const ReadContext& context;
};

// Files that differ, by name. Where compare() found no changes every line that differs is one; else lines
// that hold what changed are left out, and so are those that say other than before and do not count: of them
// the values are given. Where another file may rule a value, the sets must be whole (need_all_files()). Adds
// to `changes` what only the files tell: where a decimal point came or went.
std::vector<SpelledFile> compare_spelling(const SpelledSide& before, const SpelledSide& after,
                                          Changes& changes);

// "PRG20417.TXT is spelled otherwise in 3 lines"
std::string gist(const SpelledFile& file);
// "a row that does not count, T.OFF:12, says 5.1 where it said 5 for offsets/tool/5/length: 5.2 of G.OFF:3 is
// in force"; `file` is ready to be shown.
std::string gist(const std::string& file, const OverruledChange& change);
// All of it where no value changed: "the values are the same; PRG20417.TXT is spelled otherwise in 3 lines".
// That the values are the same is never said of a file in which nothing was read, nor where a row that does
// not count says other than before.
std::string gist(const std::vector<SpelledFile>& files);
// The same where values changed too: "beside that, 3 lines in 1 file are spelled otherwise, with the same
// values"; empty where there is nothing to say.
std::string gist_beside(const std::vector<SpelledFile>& files);

}  // namespace keepway
