// The difference of two objects in Git's delta form: what to copy from a base, and what to put in between.
// Source of the form: Git's gitformat-pack(5), "Deltified representation".
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace keepway::store {

// What makes `target` out of `base`. nullopt when that would take more than `limit` bytes, or when either is
// over 64 MiB. Work and memory are linear in both sizes, whatever the bytes.
std::optional<std::string> make_delta(std::string_view base, std::string_view target, std::size_t limit);

}  // namespace keepway::store
