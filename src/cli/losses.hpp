// What was lost and gone around while a command was at work, for its answer. Thread-safe.
#pragma once

#include <mutex>
#include <string>
#include <vector>

#include "keepway/machine.hpp"
#include "keepway/show.hpp"

namespace keepway::cli {

class Losses {
 public:
  // Whether it is the first of its kind; more backups with the same are put to it.
  bool add(const store::Repository::Loss& loss);
  [[nodiscard]] std::vector<show::Lost> list() const;

 private:
  mutable std::mutex mutex_;
  std::vector<show::Lost> all_;
};

}  // namespace keepway::cli
