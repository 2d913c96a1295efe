// The program's exit codes, a part of its contract with scripts; answers in JSON carry them too.
#pragma once

#include "keepway/audit.hpp"
#include "keepway/error.hpp"

namespace keepway {

enum class Exit : int {
  done = 0,     // done, and nothing to report
  look = 1,     // done, and there is something to look at
  usage = 2,    // wrong usage
  input = 3,    // bad input
  store = 4,    // the store or the disk failed
  refused = 5,  // refused for safety
};

Exit exit_of(ErrorKind kind);
Exit exit_of(const Audit& audit);

}  // namespace keepway
