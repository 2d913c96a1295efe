// Items that are equal in two states.
#pragma once

#include <cstddef>

#include "keepway/state.hpp"

namespace keepway::restore {

// Values and programs of the same name with the same value or text in both.
std::size_t count_equal(const State& a, const State& b);

}  // namespace keepway::restore
