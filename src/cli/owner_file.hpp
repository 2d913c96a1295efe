// The files of a machine that its owner edits (machine.toml, namebook.tsv), edited by a command: in the work
// tree, as by hand. The next intake takes the change along.
#pragma once

#include <functional>
#include <string>

#include "keepway/machine.hpp"

namespace keepway::cli {

// As it is in the work tree, else in the newest backup; "" when there is none.
std::string read_owner_file(const Machine& machine, const std::string& file);
// Writes what `edit` makes of the file's text, whole or not at all; one program at a time, so that of two
// edits none is lost. Whether it differs; where it does not, nothing is written. Error{store}, and what
// `edit` throws.
bool edit_owner_file(const Machine& machine, const std::string& file,
                     const std::function<std::string(const std::string& text)>& edit);
// A file named on the command line; Error{input} when it cannot be read.
std::string read_given_file(const std::string& path);

}  // namespace keepway::cli
