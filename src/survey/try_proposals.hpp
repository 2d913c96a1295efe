// Each sample is tried with what each family proposes, and what reads best is taken.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "survey/survey_parts.hpp"

namespace keepway::layout {

// A file, or a piece of one, and how it is best read.
struct Tried {
  Piece piece;
  Candidate candidate;
  std::size_t lines = 0;  // of text, but for comments and headings
  std::size_t faults = 0;
  bool again = false;  // a key comes again
  std::optional<Units> units;
};

// What is true of a whole backup, since one control wrote it.
struct OfBackup {
  std::string serial;
  std::string encoding;  // see common_encoding()
  bool commas = false;   // see has_commas()
};
// All pieces of a file with their sources; one for most files. Empty when no reader fits. `text`: its bytes,
// cleaned.
std::vector<Tried> best_of(const OriginalView& original, std::string_view text, const OfBackup& backup);

// Settings of a piece, `MAX = 4500`, as assignments, which may have a name in front of their addresses.
void give_address(Tried& tried, std::string_view text);

// Gives the tables that have rows with the same addresses a name of their own in front.
void keep_apart(const std::vector<OriginalView>& originals, std::vector<std::vector<Tried>>& files);

// A piece of a file that lists the backup's programs, and holds no data of its own.
struct Directory {
  std::size_t file = 0;
  std::size_t piece = 0;
};
std::vector<Directory> directories_of(const std::vector<OriginalView>& originals,
                                      const std::vector<std::vector<Tried>>& files);

// One source for two files of programs: with the comments, headings and numbers of both. False where their
// programs begin in different ways, and nothing is changed.
bool join_programs(Candidate& all, const Candidate& other);

// What ends the programs of a source where M2, M30, M99 or a mark do not.
struct Ends {
  std::string line;
  Guess guess;
};
std::optional<Ends> ends_of(const Reading& reading, std::size_t source);
// Where each of several files opens with a mark, and no other closes it.
std::optional<Ends> marks_of(const Reading& reading, std::size_t source,
                             const std::vector<OriginalView>& originals);

// Programs that may be several: what to say of those with more than one end.
std::optional<Guess> several_ends_of(const Reading& reading, std::size_t source);

// More patterns for a source's keys to skip.
void add_skip(std::string& keys, const std::vector<std::string>& patterns);
// Patterns for lines that a source leaves unread though they are no data: ends, sums, and G words alone among
// rows of words. `files`: the originals that were read.
std::vector<std::string> idle_lines(const Reading& reading, std::size_t source, ReaderKind reader,
                                    const std::vector<OriginalView>& files);

// A whole [[source]] as TOML. `patterns` of the files' names.
std::string source_toml(const Tried& tried, const std::vector<std::string>& patterns, bool with_piece);
std::string layout_toml(const std::string& sources, const std::optional<Units>& units);

}  // namespace keepway::layout
