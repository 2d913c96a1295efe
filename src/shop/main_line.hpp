// Which line is the machine's own.
#pragma once

#include <string>

#include "keepway/store.hpp"

namespace keepway {

// "main"; the line that is checked out where a repository of other programs has no such branch.
inline std::string main_line(const store::Repository& repository) {
  std::string line = repository.line();
  return line == "main" || repository.resolve("refs/heads/main") ? "main" : line;
}

// Its last commit, in a series too.
inline std::optional<store::Oid> main_tip(const store::Repository& repository) {
  const std::string line = main_line(repository);
  return line == repository.line() ? repository.tip() : repository.resolve("refs/heads/" + line);
}

}  // namespace keepway
