// Edits of one thing on two PCs of which only one can be in force: a row of the namebook, a fact of
// machine.toml, or a whole file. A sync keeps the later and notes both in `clashes.tsv` of the machine's
// repository, so that every PC reports it until a person chooses.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "keepway/machine.hpp"

namespace keepway {

struct EditClash {
  std::string file;   // "namebook.tsv"
  std::string key;    // an address of the namebook, a key of machine.toml; empty for the whole file
  std::string kept;   // as in force: a namebook of that row alone, a TOML value, or the id of a blob
  std::string other;  // the same of the other PC's; empty where that side has none
};

// Those that nobody chose yet, of main. Error{input} for a clashes.tsv that keepway did not write.
std::vector<EditClash> open_clashes(const store::Repository& repository);

struct Choice {
  std::size_t place = 0;  // in open_clashes()
  bool other = false;     // else what is kept stays
  std::string by;
  std::int64_t now = 0;
};
// Stores it as a commit of its own, and gives the clash that is settled. Error{usage} for one that is not
// there; Error{input} when the other cannot be read as what its file holds; Error{refused} when an edit by
// hand is not stored yet.
EditClash choose(Machine& machine, const Choice& choice);

}  // namespace keepway
