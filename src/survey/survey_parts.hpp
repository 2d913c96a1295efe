// What surveying a sample is made of: the sample's lines, and what each family of text would propose for
// them.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/layout.hpp"
#include "reader/lines.hpp"

namespace keepway::layout {

struct Sample {
  std::string_view name;
  std::vector<reader::Line> lines;    // all of them, cleaned; the first 20,000
  std::vector<std::string> comments;  // openers that comments in it seem to begin with
  std::vector<std::string> openers;   // those of them that are at the beginning of a line
  // Per line: without comments, trimmed; empty for blank lines, marks and lines of comment alone.
  std::vector<std::string> code;
  [[nodiscard]] std::size_t code_lines() const;
};
// `text` must outlive the sample, and be cleaned (see reader/clean.hpp).
Sample look_at(std::string_view name, std::string_view text);

// One way to read a sample, not yet tried.
struct Candidate {
  Group group = Group::parameters;
  ReaderKind reader = ReaderKind::blocks;
  std::string keys;                  // TOML lines that follow files and reader in [[source]]
  std::vector<std::string> guesses;  // what a person should look at
  std::size_t header_lines = 0;      // of text, above the first row
};
using Candidates = std::vector<Candidate>;

// The likeliest of its family first; none when the sample does not look like it at all.
Candidates propose_assign(const Sample& sample);
Candidates propose_sections(const Sample& sample);
Candidates propose_blocks(const Sample& sample);
Candidates propose_words(const Sample& sample);
Candidates propose_columns(const Sample& sample);

// G20 or G21 in a program tells units (NISTIR 6556, 3.5.8).
std::optional<Units> units_in(const Sample& sample);
// What a file's name says of its group, as shops abbreviate (common practice, no source).
std::optional<Group> group_in_name(std::string_view name);

// A text as TOML writes it, in quotes.
std::string toml_quoted(std::string_view text);
std::string key_line(std::string_view key, const std::string& value, const std::string& why = "");
// `comment = […]`, or nothing when there are none.
std::string comment_line(const std::vector<std::string>& openers);
// A guess at what numbers without a point count in: when none of many values has one, and some are large.
class IncrementGuess {
 public:
  void see(std::string_view number);
  // The line for the source, or "" when nothing points to one; adds to `guesses`.
  [[nodiscard]] std::string line(Group group, std::vector<std::string>& guesses) const;

 private:
  std::size_t values_ = 0;
  std::size_t pointed_ = 0;
  std::size_t large_ = 0;
};

// Words of a line: letter and number. False when it holds anything else.
struct SurveyWord {
  char letter = 0;
  std::string number;  // canonical
  bool pointed = false;
};
bool words_of_line(std::string_view code, std::vector<SurveyWord>& words);

}  // namespace keepway::layout
