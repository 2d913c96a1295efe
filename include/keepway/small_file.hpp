// Small text files that people edit: layouts, namebooks, shop.toml.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace keepway {

// Bound on layouts, namebooks and the like, far over what a person types.
inline constexpr std::uintmax_t max_small_file = 16U << 20;

// nullopt when it is not a plain file, cannot be read, or is over the bound.
std::optional<std::string> read_small_file(const std::filesystem::path& file);
// Written aside, synced and renamed, so that a reader sees the old or the new. A link in the way is replaced,
// never followed. False on failure.
bool write_small_file(const std::filesystem::path& file, std::string_view text);

}  // namespace keepway
