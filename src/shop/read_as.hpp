// How a backup's originals are read: by the layout and the facts of the machine that was beside them.
//
// Motivation: the same bytes are another value once a layout's least increment or the machine's units are
// repaired. Two states may only be compared, or one put into the files of the other, when both were read
// alike.
#pragma once

#include <string>

#include "keepway/machine.hpp"

namespace keepway {

struct ReadAs {
  std::string layout;  // text of layout.toml
  ReadContext context;
  friend bool operator==(const ReadAs& a, const ReadAs& b) {
    return a.layout == b.layout && a.context.serial == b.context.serial && a.context.units == b.context.units;
  }
};

// From the texts of layout.toml and machine.toml. Error{input} when the latter cannot be read.
ReadAs read_as(std::string layout, const std::string& machine);
// As with that backup. Where a file that says it is lost, and the machine's folder has the same, by that;
// Error{store} where it has another.
ReadAs read_as(const store::Repository& repository, const store::Oid& commit);
ReadAs read_as(const Machine& machine, const store::Oid& commit);
// As the machine's files say now.
ReadAs read_as_today(const Machine& machine);

// The state that originals give. Error{input} when the layout cannot be read.
State state_of(const media::Set& originals, const ReadAs& as);

}  // namespace keepway
