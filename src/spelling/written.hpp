// A backup's files, line by line: what each says to the machine, and how it is written.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "keepway/spelling.hpp"
#include "reader/clean.hpp"

namespace keepway {

struct FileLine {
  std::string_view raw;  // as received, with its end
  std::string meaning;   // what it says to the machine, or would if it counted; empty: nothing
};
using FileLines = std::vector<FileLine>;

class Written {
 public:
  // The side must outlive this. `reading`: of its set.
  Written(const SpelledSide& side, Reading reading);

  // Whether any item was read from a file. Rows that no reader understands are none.
  [[nodiscard]] SpelledFile::Read read(std::size_t file) const;
  [[nodiscard]] FileLines lines(std::size_t file) const;
  // Whether a table's file has line by line the rows of another, each with the same bytes where its values
  // are the same and with others where they are not.
  [[nodiscard]] bool differs_in_values_alone(std::size_t file, const Written& other,
                                             std::size_t other_file) const;

  // A value as received; empty where it is not among the files. `source` is set.
  [[nodiscard]] std::string_view value(Group group, std::string_view key, const Origin*& origin) const;
  // Lines of a program as received, one for each line of its normal form; empty where it is not among the
  // files.
  [[nodiscard]] std::vector<std::string_view> program(std::string_view name, const Source*& source) const;

  [[nodiscard]] const SpelledSide& side() const { return side_; }
  [[nodiscard]] const Reading& reading() const { return reading_; }

 private:
  struct InFile {
    std::vector<const Origin*> origins;
    std::vector<const ProgramFacts*> programs;
    std::vector<const Overruled*> overruled;
  };
  // Without what the lines mean.
  FileLines split(std::size_t file, reader::Cleaned& cleaned) const;

  const SpelledSide& side_;
  Reading reading_;
  std::vector<InFile> by_file_;
};

// compare_spelling() of files that were read already.
std::vector<SpelledFile> compare_spelling(const Written& was, const Written& is, Changes& changes);

// Whether files that differ between two backups do not tell by themselves what counts: they say other than
// `changes`, so that a row of theirs is overruled, perhaps by a file that is the same in both.
bool need_all_files(const Written& was, const Written& is, const Changes& changes);

// What rows that do not count say other than before, by file of `is`, or of `was` where it is gone.
struct OverruledIn {
  std::string file;
  OverruledChange change;
};
std::vector<OverruledIn> compare_overruled(const Written& was, const Written& is);

// Notes on changes where the decimal point came or went: what the number counts in, as far as it is known.
void explain_points(const Written& before, const Written& after, Changes& changes);

}  // namespace keepway
