// A layout proposed from samples: what a person would find out by looking, and check before believing.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/layout.hpp"
#include "keepway/reader.hpp"

namespace keepway {

// What a proposal had to guess, and the line of the layout to change where it is wrong.
struct Guess {
  std::string what;      // "the group: the file's name does not say it"
  std::string key;       // of the source: "group"; empty when no one key says it
  std::size_t line = 0;  // of the layout, from 1; 0 without a key
};

// A file of the samples, or a part of one that has a source of its own.
struct SurveyedFile {
  std::string name;   // of the sample
  std::string title;  // of the part: the heading above it; empty for a whole file
  std::string pattern;
  Group group = Group::parameters;
  ReaderKind reader = ReaderKind::blocks;
  int confidence = 0;  // per cent: of the lines that fit, less for what was guessed
  std::size_t items = 0;
  std::size_t lines = 0;  // of text; blank ones, comments and lines that are no data apart
  bool parity = false;
  std::vector<Guess> guesses;
  struct Misfit {
    Place place;
    std::string text;  // escaped
  };
  std::vector<Misfit> misfits;  // lines that the proposal leaves unread; the first 20
  std::size_t unread = 0;       // how many there are
  std::size_t source = 0;       // index in the proposed layout
};

struct Survey {
  std::vector<SurveyedFile> files;  // in the order given
  std::vector<std::string>
      left_out;  // names of samples that no reader takes: their sources are to be written by hand
  std::vector<std::string> no_text;  // those of them that are no text of a control, as a picture is
  std::string layout;                // TOML with comments; it loads, and was tried on the samples
  std::optional<Units> units;        // when a sample tells them (G20, G21)
  std::string serial;                // as given, or as found
  std::string serial_from;           // where it was found; empty when it was given, or there is none
  // What the files say where another was given: the layout asks for the line that carries it, so that as long
  // as the two differ no such backup is taken for this machine's.
  std::string other_serial;
  std::string other_serial_in;  // "ALL.TXT:2"
};

// Proposes; asks nothing. `serial` makes that part of the files' names a {serial}; without one, a number that
// is in all names is taken for it, or one that a heading calls the serial. Error{usage} without samples,
// Error{input} when no reader takes any of them.
Survey survey(const std::vector<OriginalView>& samples, const std::string& serial);

// What a person may correct of each source of a proposal, in the layout's order.
struct EditableSource {
  std::string group;
  std::string name;       // in front of all its addresses: "tool" of tool/{number}; empty where there is none
  bool left_out = false;  // none of its lines is data
};
std::vector<EditableSource> editable_sources(const Survey& survey);

struct SourceEdit {
  std::size_t source = 0;            // index in the layout
  std::optional<std::string> group;  // nullopt, here and below: as it is
  std::optional<std::string> name;
  // true: no line of it is data: its files are kept as they came, and give no item. false: they are read.
  std::optional<bool> left_out = std::nullopt;
};
// Writes them into the layout, where a hand would; all else of it stays as it is, and what was corrected is a
// guess no longer. Error{usage} for a source that is not there, and as parse_layout() where the layout does
// not load with them.
void edit_sources(Survey& survey, const std::vector<SourceEdit>& edits);
// The units that a person gives, into the layout.
void edit_units(Survey& survey, Units units);

// What a layout makes of a backup, for a person to look at.
struct Understood {
  struct Row {
    std::string address;
    std::string value;    // of a program, how many blocks it has
    std::string written;  // the same, a number with as many digits as the file has
  };
  struct Source {
    std::size_t index = 0;  // in the layout
    Group group = Group::parameters;
    std::vector<std::string> files;
    std::size_t items = 0;
    std::vector<Row> rows;  // the first three
  };
  struct Unread {
    std::string why;  // and the key that cures it
    std::size_t times = 0;
    Place first;
    std::string text;  // escaped
  };
  std::vector<Source> sources;         // those that took a file, in the layout's order
  std::vector<Unread> unread;          // rows not understood, one entry for each cause
  std::vector<std::string> unclaimed;  // files that no source takes
  // Lines of text that gave no value, and are neither remarks nor unread: headings, most often.
  struct Passed {
    Place place;
    std::string text;  // escaped
  };
  // Two rows of one key in one file, which differ.
  struct Twice {
    std::string address;
    std::string taken;  // value
    Place place;
    std::string passed;
    Place passed_at;
  };
  std::size_t twice = 0;
  std::vector<Twice> twice_first;  // six at most
  std::size_t passed = 0;
  std::vector<Passed> passed_first;   // the first of each kind; six at most
  std::vector<std::string> oddities;  // what else a backup would be refused for: another serial
};
Understood understood(const Layout& layout, const Reading& reading, const std::vector<OriginalView>& files);

// What a corrected layout makes otherwise of the same files.
struct TryChanges {
  struct Item {
    std::string address;
    std::optional<std::string> before;  // nullopt: it was not there; of programs, a word for them
    std::optional<std::string> after;
  };
  std::size_t unread_before = 0;
  std::size_t unread_after = 0;
  std::vector<Item> items;  // those gone and changed, then those that came
};
TryChanges try_changes(const Reading& before, const Reading& after);

}  // namespace keepway
