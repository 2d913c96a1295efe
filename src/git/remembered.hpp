// Files in `.git/keepway/` that only make keepway quick. Written over in place and not synced: who reads one
// tells by a sum of its own whether it is whole. None of these fails: without the file all is found out anew.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace keepway::store {

std::optional<std::string> recall(const std::filesystem::path& git_folder, const std::string& name) noexcept;
void remember(const std::filesystem::path& git_folder, const std::string& name,
              std::string_view bytes) noexcept;
void forget(const std::filesystem::path& git_folder, const std::string& name) noexcept;

}  // namespace keepway::store
