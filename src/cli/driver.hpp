// What the drivers that Git calls share: a table's group by its file's name, and the names of its items.
#pragma once

#include <optional>
#include <string>

#include "keepway/facts.hpp"
#include "keepway/namebook.hpp"

namespace keepway::cli {

// "state/offsets.tsv", or a temporary copy that Git called ".../offsets.tsv"; nullopt for any other file.
std::optional<Group> group_of_file(const std::string& path);

// A file that Git names; "/dev/null" gives an empty text. Error{input} when it cannot be read.
std::string driver_file(const std::string& path);

// Units and names of the machine in whose folder Git runs us. What cannot be read is left out: a driver
// that fails would make `git diff` fail.
struct Names {
  Units units = Units::inch;
  Namebook book;
};
Names names_here();

}  // namespace keepway::cli
