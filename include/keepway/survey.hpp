// A layout proposed from samples: what a person would find out by looking, and check before believing.
#pragma once

#include <string>
#include <vector>

#include "keepway/layout.hpp"
#include "keepway/reader.hpp"

namespace keepway {

struct SurveyedFile {
  std::string name;  // of the sample
  std::string pattern;
  Group group = Group::parameters;
  ReaderKind reader = ReaderKind::blocks;
  int confidence = 0;  // per cent: of the lines that fit, less for what was guessed
  std::size_t items = 0;
  std::size_t lines = 0;  // of text; blank ones, comments and the header apart
  bool parity = false;
  std::vector<std::string> guesses;  // "the group, from the file's name", …: what a person should look at
  struct Misfit {
    Place place;
    std::string text;  // escaped
  };
  std::vector<Misfit> misfits;  // lines that the proposal leaves unread; the first 20
  std::size_t unread = 0;       // how many there are
};

struct Survey {
  std::vector<SurveyedFile> files;  // in the order given
  std::vector<std::string>
      left_out;        // names of samples that no reader takes: their sources are to be written by hand
  std::string layout;  // TOML with comments; it loads, and was tried on the samples
  std::optional<Units> units;  // when a sample tells them (G20, G21)
};

// Proposes; asks nothing. `serial` makes that part of the files' names a {serial}; without one, a number that
// is in all names is taken for it. Error{usage} without samples,
// Error{input} when no reader takes any of them.
Survey survey(const std::vector<OriginalView>& samples, const std::string& serial);

}  // namespace keepway
