// What was asked for, item by item: only what differs between the newest state and the target.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/state.hpp"

namespace keepway::restore {

// One item that shall change. Programs: whole texts. Absent before: to be added; absent after: to be removed.
struct WantedChange {
  Address address;
  std::optional<std::string> before;
  std::optional<std::string> after;
};

// Programs that differ in name or text, natural order.
std::vector<WantedChange> program_differences(const std::vector<Program>& before,
                                              const std::vector<Program>& after);

// By group and natural order, programs last. Unread rows of programs go with their programs and are no
// changes. Addresses are as meant among the two states, see covers_among(). Error{usage} when an address
// covers nothing in either state.
std::vector<WantedChange> wanted_changes(const State& newest, const State& target,
                                         const std::vector<Address>& asked);

// `state` with the changes made.
State apply(State state, const std::vector<WantedChange>& changes);

}  // namespace keepway::restore
