// What surveying a sample is made of: the sample's lines, which of them are no data, and what each family of
// text would propose for the rest.
#pragma once

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/digit.hpp"
#include "keepway/layout.hpp"
#include "keepway/survey.hpp"
#include "reader/lines.hpp"

namespace keepway::layout {

// A letter, or a part of one that is not ASCII.
constexpr bool is_alpha(char c) {
  return is_letter(c) || static_cast<unsigned char>(c) >= 0x80;
}
constexpr bool is_alnum(char c) {
  return is_digit(c) || is_alpha(c);
}
inline bool has_digit(std::string_view text) {
  return std::any_of(text.begin(), text.end(), is_digit);
}

// What a line is.
enum class LineRole : unsigned char {
  data,
  top,   // text above the first row, once: a heading that may name columns
  skip,  // a rule, a heading that comes again, a foot: Sample::skip has its pattern
};

struct Sample {
  std::string_view name;
  std::vector<reader::Line> lines;    // all of them, cleaned; the first 20,000
  std::vector<std::string> comments;  // openers that comments in it seem to begin with
  std::vector<std::string> openers;   // those of them that are at the beginning of a line
  // Per line: without comments, trimmed; empty for blank lines, marks, lines of comment alone and lines that
  // are no data.
  std::vector<std::string> code;
  std::vector<LineRole> roles;    // per line
  std::vector<std::string> skip;  // patterns for the lines that are LineRole::skip
  std::string encoding;           // of the file, see encoding_of(); empty: none found
  [[nodiscard]] std::size_t code_lines() const;
};
// `text` must outlive the sample, and be cleaned (see reader/clean.hpp).
Sample look_at(std::string_view name, std::string_view text);

// Finds the lines that are no data, and takes them out of `code`.
void mark_no_data(Sample& sample);
// A pattern for a line: what has digits in it may differ the next time. Empty where nothing is left to tell
// it by.
std::string pattern_of_line(std::string_view line);
// Only signs, three or more, as between a heading and its rows.
bool is_rule(std::string_view line);
// "=== AXES", "-- end --": three of one sign before text, or two on both sides of it.
bool begins_as_rule(std::string_view line);
// `23,"Sheet load",69.75`, `23  SHEET LOAD  69.75`: a number as a cell of its own, and a value behind it. No
// heading begins so, whatever words are in it.
bool is_numbered_row(std::string_view line);
// "PAGE 3", in the larger European languages.
bool is_page_line(std::string_view line);

// "SERIAL 12", "KNEE MILL 2, SAVED 12.05.1993": what a heading has to say of the machine, and of when it was
// printed.
bool is_of_machine(std::string_view code);
// Lines under a line of titles, each with as many cells between signs as it has: rows, whatever is in them.
// Empty where the sample is no such table.
std::vector<bool> rows_under_titles(const Sample& sample);
// "-", "---", "--.---": what stands in a cell that has no value.
bool is_no_value(std::string_view cell);
// 12.05.1993, 2001-04-09, 06:55.
bool is_date_or_time(std::string_view token);
// "END OF TOOLS", "</TOOLS>": the foot of a part.
bool says_end(std::string_view code);
// A number with a point or a sign, as values have and headings do not.
bool has_value(std::string_view line);

// What kind of row a line may be; lines of one table are of one kind. 0: none.
char row_kind(std::string_view code);
// The first cell of a line with 9 for each number: "#9" of `#500  12.5`; a blank where there is none.
std::string beginning_of_row(std::string_view line);
// By line, whether it is a row: of a kind, with another of its kind beside it or two elsewhere.
std::vector<bool> rows_of(const Sample& sample);
// Rows in blocks, within which no first cell comes twice, and a block of which half are known from those
// above.
bool keys_come_again(const Sample& sample);

// A stretch of a file that has one source.
struct Piece {
  std::string_view text;
  std::uint64_t base = 0;
  std::string title;   // of the heading above it, in UTF-8
  std::string under;   // pattern of that line, in UTF-8
  std::string begins;  // else how its first row begins
};
inline constexpr std::size_t most_pieces = 40;
// Ways to cut a file that may hold several groups: between lines of `%`, and under headings. Each has two
// pieces at least; none where nothing parts it. `again`: keys come again in it, so that what is above the
// rows that have them parts them, a remark, too.
std::vector<std::vector<Piece>> cuts_of(std::string_view text, const std::string& encoding, bool again);

// Where a unit begins that is right behind a number, as in "160mm" and "51,545mm": a short word behind a
// digit. The token's size where there is none.
std::size_t unit_in(std::string_view token);

// A text with its numbers as everything else writes them, of the same length.
struct PlainNumbers {
  std::string text;
  NumberForm form;  // what was found
};
PlainNumbers plain_numbers(std::string_view text, bool commas_elsewhere);
// Whether most files of a backup that tell have decimal commas: a control has one form, and one file may have
// few numbers to tell it by. `texts`, here and below: of the files, cleaned (see reader/clean.hpp).
bool has_commas(const std::vector<OriginalView>& texts);
// `decimal = …` and `sign = …`, or nothing.
std::string numbers_lines(const NumberForm& form, ReaderKind reader);

// One way to read a sample, not yet tried.
struct Candidate {
  Group group = Group::parameters;
  ReaderKind reader = ReaderKind::blocks;
  std::string keys;            // TOML lines that follow files and reader in [[source]]
  std::vector<Guess> guesses;  // what a person should look at
  std::size_t header_lines = 0;
};
using Candidates = std::vector<Candidate>;

// Whether a line names the part that the rows below it are of.
bool names_part(const Source& source, std::string_view line);

// The likeliest of its family first; none when the sample does not look like it at all.
Candidates propose_assign(const Sample& sample);
// "PROGRAM DRILL1", "$PROGRAM 12": a word for a program, and behind it its name, which has a number or is in
// the name of its file.
bool names_program(std::string_view line, std::string_view file = {});
// "CHECKSUM 7F3A", "$SUM 1250".
bool says_sum(std::string_view line);
// One program in a control's own words, "PROGRAM 12" above and "END" below: no table, whatever numbers are in
// it.
std::optional<Candidate> conversational(const Sample& sample);
// Sentences for people, as a README beside a backup has them.
bool is_note(const Sample& sample);
// Nearly all lines begin with a date and a time: what happened, and nothing that could be put back.
bool is_log(const Sample& sample);
Candidates propose_sections(const Sample& sample);
Candidates propose_blocks(const Sample& sample);
Candidates propose_words(const Sample& sample);
Candidates propose_columns(const Sample& sample);
Candidates propose_shape(const Sample& sample);
// A record in each line, whose values all have their labels, and which nothing in it names: its address is
// empty.
Candidates propose_record(const Sample& sample);
// Rows under lines that name what they are of, as in "TOOL 1"; with it the proposals for the rows of one.
Candidates propose_parts(const Sample& sample);

// The field of values that are flags, or numbers and bits, for readers that have one value a row; "" for
// plain ones.
std::string value_fields(const std::vector<std::string>& values);
inline constexpr const char* any_value = "{ value = { name = \"\", kind = \"any\" } }";
// "\"english\"": a text in quotes.
bool is_quoted(std::string_view text);
// "******": where a control writes a number that does not fit its field.
bool is_overflow(std::string_view cell);
// Bits beside plain numbers: the parameters of one list may be of both kinds. Not where numbers are padded.
// And what overflowed.
bool has_others_among_numbers(const std::vector<std::string>& values);
// All values of a column or of settings: "00010110", or "1F" and "07", which are no numbers.
bool are_flags(const std::vector<std::string>& values);
// Which they are, too, where another column of that length has letters: "07" beside "1F".
bool may_be_hexadecimal(const std::vector<std::string>& values);

// What a reading with a proposal is worth: 0 is right as far as can be seen, more is worse. Counted are rows
// not understood, headings that became items, numbers that became text, texts that hold several numbers, keys
// that come again.
// `bytes`: of the one file that was read.
std::size_t faults_of(const Layout& layout, const Reading& reading, std::string_view bytes);

// Blocks of a program that are M2 or M30 alone, of which it has one: with more, it is likely several.
std::size_t ends_in(std::string_view program);

// The character set that text with bytes above 127 is probably in; empty for ASCII, UTF-8 and what no set
// fits. `drawn`: tables are, as in a code page alone.
std::string encoding_of(std::string_view text, bool drawn = false);
// The one for all files of a backup: a control has one, and a few letters of one file may fit several.
std::string common_encoding(const std::vector<OriginalView>& texts, bool drawn);

// The machine's serial, when names of files or a line says it; how it was found is in `guesses`.
struct Serial {
  std::string text;
  std::string found_in;  // "the names of the files", "ALL.TXT:2"
};
Serial serial_of(const std::vector<OriginalView>& texts);
// The one that lines name where neither they nor the files' names have the one that was `given`.
Serial serial_against(const std::vector<OriginalView>& texts, const std::string& given);
// The pattern of the line that carries the serial; empty when none does.
std::string serial_line(const Sample& sample, const std::string& serial);
// The name with its serial and other long runs of digits (a date, a program's number) left open.
std::string pattern_of_name(std::string_view name, const std::string& serial, ReaderKind reader);

// G20 or G21 in a program tells units (NISTIR 6556, 3.5.8).
std::optional<Units> units_in(const Sample& sample);
// What files that are no programs say: in a setting, else in headings, else behind many of their values. None
// where they say both. `encoding`: of all of them.
std::optional<Units> told_units(const std::vector<OriginalView>& texts, const std::string& encoding);
// What a file's name or a heading says of its group, as shops abbreviate (common practice, no source).
std::optional<Group> group_in_name(std::string_view name, const std::string& encoding = {});
// Whether the file's name, or text above its rows, speaks of zero points.
bool says_work(const Sample& sample);
// R12, V7: what a variable is called (common practice, no source).
bool is_cell_name(std::string_view key);
// `encoding = …`, with its guess, where a candidate has none.
void set_encoding(Candidate& candidate, const std::string& encoding);
// The keys of a source with `name` and a slash in front of each address.
std::string with_prefix(const Candidate& candidate, const std::string& name);
// By the name of the sample, else by the text above its rows, else by their keys; else `otherwise`, as a
// guess.
Group group_of(const Sample& sample, Group otherwise, std::vector<Guess>& guesses);

// A title as the name of a column: "laenge".
std::string plain_name(std::string_view text, const std::string& encoding);
// A word for the key, or for a value, that is hardly a value itself: "Name", "WERT".
bool is_column_title(std::string_view text);
// Text of a file as a layout holds it, which is in UTF-8: with ? for each byte that no encoding explains.
std::string readable(const std::string& text, const std::string& encoding);

// A text as TOML writes it, in quotes.
std::string toml_quoted(std::string_view text);
std::string toml_list(const std::vector<std::string>& texts);
std::string key_line(std::string_view key, const std::string& value, const std::string& why = "");
// `comment = […]`, or nothing when there are none.
std::string comment_line(const std::vector<std::string>& openers);
// `skip = […]`, or nothing. `top`: with the lines above the first row.
std::string skip_line(const Sample& sample, bool top);
// A guess at what numbers without a point count in: when none of many values has one, and some are large.
class IncrementGuess {
 public:
  void see(std::string_view number);
  // The line for the source, or "" when nothing points to one; adds to `guesses`.
  [[nodiscard]] std::string line(Group group, std::vector<Guess>& guesses) const;

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
  std::string spelled;
};
bool words_of_line(std::string_view code, std::vector<SurveyWord>& words);
// `X65.608 Y22.855 T27`: most lines begin with a coordinate, so that they are blocks, and no rows with a key.
bool are_positions(const Sample& sample);
// Whether a word ends a program: M2, M30 (NISTIR 6556, 3.6.1), M99 (common practice, no source).
bool is_program_end(const SurveyWord& word);

}  // namespace keepway::layout
