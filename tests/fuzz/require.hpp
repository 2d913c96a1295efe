// What a fuzzer holds to be true; libFuzzer keeps the input that breaks it.
#pragma once

#include <cstdlib>

namespace keepway::fuzz {

inline void require(bool holds) {
  if (!holds) std::abort();
}

}  // namespace keepway::fuzz
