// How far a long work is, reported while it goes on.
#pragma once

#include <cstdint>
#include <functional>
#include <string_view>

namespace keepway {

// `what` is counted ("files read"); `of` is 0 where nobody knows. Called by one thread at a time. May be
// empty.
using OnProgress = std::function<void(std::string_view what, std::uint64_t done, std::uint64_t of)>;

}  // namespace keepway
