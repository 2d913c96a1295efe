// Where a repository keeps its hooks, and its own configuration.
#pragma once

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace keepway::store {

struct GitPlace {
  std::filesystem::path git_folder;  // that all work trees share
  bool bare = false;
  std::string hooks_path;  // core.hooksPath, empty when it is not set
};
// Error{store} when there is no repository in the folder itself.
GitPlace git_place(const std::filesystem::path& folder);

// Sets values in the repository's own configuration file.
void set_config(const std::filesystem::path& folder,
                const std::vector<std::pair<std::string, std::string>>& values);

// Writes a program file anew, whole or not at all.
void write_script(const std::filesystem::path& file, const std::string& text);

}  // namespace keepway::store
