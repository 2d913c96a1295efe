// The files of a machine that its owner edits (machine.toml, namebook.tsv), edited by a command: in the work
// tree, as by hand. The next intake takes the change along.
#pragma once

#include <string>

#include "keepway/shop.hpp"

namespace keepway::cli {

// As it is in the work tree, else in the newest backup; "" when there is none.
std::string read_owner_file(const Machine& machine, const std::string& file);
// Whole or not at all. Error{store}.
void write_owner_file(const Machine& machine, const std::string& file, const std::string& text);
// A file named on the command line; Error{input} when it cannot be read.
std::string read_given_file(const std::string& path);

}  // namespace keepway::cli
