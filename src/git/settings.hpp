// Where a repository keeps its hooks, and its own configuration.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "git/lock.hpp"

namespace keepway::store {

struct GitPlace {
  std::filesystem::path git_folder;  // that all work trees share
  bool bare = false;
  std::string hooks_path;  // core.hooksPath, empty when it is not set
};
// Error{store} when there is no repository in the folder itself.
GitPlace git_place(const std::filesystem::path& folder);

// keepway's lock on a repository, waited for when another of our programs has it: for up to ten seconds,
// since what takes the lock is mostly done in one. Error{store} as Lock gives it.
std::unique_ptr<Lock> lock_soon(const std::filesystem::path& git_folder);

// Runs what changes settings, hooks or remotes on purpose, under the lock, and then writes them down as meant
// (see settle()): only what it changed, so that what differed before is still reported by an audit. Nothing
// is written down in a bare repository, which no audit looks at. With `more_to_come` the change stays open
// until the next one: what is cut off between the two is then continued, and not reported as drift.
void change_settings(const GitPlace& place, const std::function<void()>& change, bool more_to_come = false);

// Sets values in the repository's own configuration file, all or none. Error{store} when another program is
// changing it.
void set_config(const std::filesystem::path& folder,
                const std::vector<std::pair<std::string, std::string>>& values);

// Lets HEAD of a bare repository name the line that keepway keeps, where the branch it names is not there:
// Git makes one with whatever branch its configuration says, and a clone of it would check nothing out.
void name_main_in_head(const std::filesystem::path& folder);

// Writes a program file again, whole or not at all.
void write_script(const std::filesystem::path& file, const std::string& text);

}  // namespace keepway::store
