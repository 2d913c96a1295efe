// Invented machines whose files are kept as people keep those of RS-274/NGC controls (NISTIR 6556): each
// program a file, with flow words and subroutine lines, in folders; the tool table in columns or in words;
// several files of one kind; configuration files that change; notes that no source reads. What is edited
// between two backups is as much as somebody does between two evenings. None was ever built.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "faults_machines.hpp"

namespace histories {

using faults::Dice;

struct History {
  std::string name;
  std::string layout;  // TOML, or empty: rs274ngc
  // The files of all backups, oldest first.
  std::function<std::vector<keepway::media::Set>(Dice& dice, std::size_t backups)> live;
};
std::vector<History> histories();

}  // namespace histories
