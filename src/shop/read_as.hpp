// How a backup's originals are read: by the layout and the facts of the machine that stood beside them.
//
// Motivation: the same bytes are another value once a layout's least increment or the machine's units are
// mended. Two states may only be compared, or one put into the files of the other, when both were read alike.
#pragma once

#include <string>

#include "keepway/shop.hpp"

namespace keepway {

struct ReadAs {
  std::string layout;  // text of layout.toml
  ReadContext context;
  friend bool operator==(const ReadAs& a, const ReadAs& b) {
    return a.layout == b.layout && a.context.serial == b.context.serial && a.context.units == b.context.units;
  }
};

// As with that backup. Error{input} when its layout.toml or machine.toml cannot be read.
ReadAs read_as(const Machine& machine, const store::Oid& commit);

}  // namespace keepway
