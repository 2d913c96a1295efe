// Hooks put in place by the commands that make a machine's repository.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace keepway::cli {

// With this very program as the one that the hooks fall back on.
std::vector<std::string> put_hooks(const std::filesystem::path& repository, bool server);

}  // namespace keepway::cli
