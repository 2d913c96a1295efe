// One value of a table changed in place.
#pragma once

#include <optional>

#include "keepway/compose.hpp"
#include "restore/edits.hpp"
#include "restore/wanted_changes.hpp"

namespace keepway::restore {

// Adds the change to `edits`, or says why it cannot be. Precondition: the change is of a table.
std::optional<Refusal> edit_value(const WantedChange& change, const ComposeInput& input, const Reading& now,
                                  Edits& edits);

}  // namespace keepway::restore
