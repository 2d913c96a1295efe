// Where two backups' files differ in their bytes and not in what they say: another number of zeros, a comment
// that is not kept, line ends, a line of a heading. "No change" is only true where all bytes are the same. Of
// a file in which nothing was read, only that it changed is known.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/compare.hpp"
#include "keepway/layout.hpp"
#include "keepway/media.hpp"
#include "keepway/reader.hpp"

namespace keepway {

// One line as received, with its line end, on either side; 0 and empty where a side has none.
struct SpelledLine {
  std::uint64_t before_line = 0;  // from 1
  std::uint64_t after_line = 0;
  std::string before;
  std::string after;
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
  std::vector<SpelledLine> lines;  // the first of them
  std::size_t count = 0;           // of lines
};

// A backup's files and how they are read. All must outlive the call.
struct SpelledSide {
  const media::Set& set;
  const Layout& layout;
  const ReadContext& context;
};

// Files that differ, by name. Where compare() found no changes every line that differs is one; else lines
// that hold what changed are left out. Adds to `changes` what only the files tell: where a decimal point came
// or went.
std::vector<SpelledFile> compare_spelling(const SpelledSide& before, const SpelledSide& after,
                                          Changes& changes);

// "PRG20417.TXT is spelled otherwise in 3 lines"
std::string gist(const SpelledFile& file);
// All of it where no value changed: "the values are the same; PRG20417.TXT is spelled otherwise in 3 lines".
// That the values are the same is never said of a file in which nothing was read.
std::string gist(const std::vector<SpelledFile>& files);
// The same where values changed too: "beside that, 3 lines in 1 file are spelled otherwise, with the same
// values"; empty where there is nothing to say.
std::string gist_beside(const std::vector<SpelledFile>& files);

}  // namespace keepway
