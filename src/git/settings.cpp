#include "git/settings.hpp"

#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <string_view>
#include <thread>

#include "git/folder.hpp"
#include "git/git.hpp"
#include "git/settings_record.hpp"

namespace keepway::store {
GitPlace git_place(const std::filesystem::path& folder) {
  const RepoHandle repo = open_repository(folder);
  GitPlace place;
  place.git_folder = git_repository_commondir(repo.get());
  place.bare = git_repository_is_bare(repo.get()) != 0;
  const auto config =
      take<ConfigHandle>("read the configuration", git_repository_config_snapshot, repo.get());
  const char* path = nullptr;
  if (git_config_get_string(&path, config.get(), "core.hooksPath") == 0) place.hooks_path = path;
  return place;
}

std::unique_ptr<Lock> lock_soon(const std::filesystem::path& git_folder) {
  using Clock = std::chrono::steady_clock;
  const auto end = Clock::now() + std::chrono::seconds(10);
  while (true) {
    try {
      return std::make_unique<Lock>(git_folder);
    } catch (const Error&) {
      if (Clock::now() >= end) throw;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
}

void change_settings(const GitPlace& place, const std::function<void()>& change, bool more_to_come) {
  const auto lock = lock_soon(place.git_folder);
  if (place.bare) return change();
  const std::filesystem::path ours = place.git_folder / "keepway";
  // Stands from the first change until all is written down: who finds it goes on with what was cut off.
  const std::filesystem::path under_way = ours / "settings-change";
  std::error_code failed;
  // One that is our own is a change that was left open; another's was cut off, and is gone on with.
  const std::string us = std::to_string(::getpid());
  std::optional<std::string> owner;
  if (std::filesystem::exists(under_way, failed)) owner = Folder(ours).read("settings-change");
  const bool go_on = !std::filesystem::exists(ours / "settings", failed) || (owner && *owner != us);
  write_script(under_way, us);
  if (go_on) {
    change();
    remember_settings(place.git_folder);
  } else {
    record_change(place.git_folder, change);
  }
  if (!more_to_come) std::filesystem::remove(under_way, failed);
}

void set_config(const std::filesystem::path& folder,
                const std::vector<std::pair<std::string, std::string>>& values) {
  const RepoHandle repo = open_repository(folder);
  const std::string file = std::string(git_repository_commondir(repo.get())) + "config";
  const auto config = take<ConfigHandle>("open " + file, git_config_open_ondisk, file.c_str());
  for (const auto& [name, value] : values) {
    git_buf held{};
    const bool same = git_config_get_string_buf(&held, config.get(), name.c_str()) == 0 && value == held.ptr;
    git_buf_dispose(&held);
    if (!same) check(git_config_set_string(config.get(), name.c_str(), value.c_str()), "set " + name);
  }
}

void name_main_in_head(const std::filesystem::path& folder) {
  const RepoHandle repo = open_repository(folder);
  if (git_repository_is_bare(repo.get()) == 0) return;
  const int unborn = git_repository_head_unborn(repo.get());
  check(unborn, "read HEAD of " + folder.string());
  if (unborn == 0) return;
  const auto head =
      take<RefHandle>("read HEAD of " + folder.string(), git_reference_lookup, repo.get(), "HEAD");
  const char* named = git_reference_symbolic_target(head.get());
  if (named != nullptr && std::string_view(named) == main_ref) return;
  take<RefHandle>("set HEAD of " + folder.string(), git_reference_symbolic_create, repo.get(), "HEAD",
                  main_ref, 1, static_cast<const char*>(nullptr));
}

void write_script(const std::filesystem::path& file, const std::string& text) {
  std::error_code ignored;
  std::filesystem::create_directories(file.parent_path(), ignored);
  Folder folder(file.parent_path());
  folder.write(file.filename().string(), text, true, &folder);
}

}  // namespace keepway::store
