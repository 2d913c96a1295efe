#include "keepway/exit.hpp"

namespace keepway {

Exit exit_of(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::usage:
      return Exit::usage;
    case ErrorKind::input:
      return Exit::input;
    case ErrorKind::store:
      return Exit::store;
    case ErrorKind::refused:
      break;
  }
  return Exit::refused;
}

Exit exit_of(const Audit& audit) {
  switch (audit.worst().value_or(Concern::note)) {
    case Concern::note:
      return Exit::done;
    case Concern::look:
      return Exit::look;
    case Concern::damage:
      break;
  }
  return Exit::store;
}

}  // namespace keepway
