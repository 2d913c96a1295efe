// Whether a machine holds what it should after a load.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/compare.hpp"
#include "keepway/namebook.hpp"

namespace keepway {

struct Confirmation {
  std::size_t matching = 0;  // items that are as meant; programs renumbered alone (N words) count in
  // Values that differ and are `living` in the namebook: expected to.
  std::vector<ValueChange> left_aside;
  std::vector<std::string> renumbered;  // programs that differ in N words alone
  Changes differences;                  // before: as meant; after: as found
  std::vector<Group> unjudged;          // groups that what was meant says nothing of
  bool full_match = false;              // no differences, and no group is missing
};
Confirmation confirm(const State& meant, const State& found, const Namebook& namebook);

}  // namespace keepway
