#include "git/settings.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <string_view>
#include <thread>

#include "base/durable.hpp"
#include "git/folder.hpp"
#include "git/git.hpp"
#include "git/settings_record.hpp"

namespace keepway::store {
namespace {

// A copy is changed and synced, and takes the file's place: libgit2 itself does not sync what it puts there,
// so that a power cut could leave a machine without one.
void edit_config(const std::filesystem::path& git_folder, const std::function<void(git_config&)>& edit) {
  // Git too follows a link here.
  const std::filesystem::path path = std::filesystem::weakly_canonical(git_folder / "config");
  Folder folder(path.parent_path());
  const std::string before = folder.read(path.filename().string()).value_or("");
  // Git's own name for the copy, which keeps other programs from changing it meanwhile.
  const std::string copy = path.string() + ".lock";
  const Fd file(::open(copy.c_str(), O_RDWR | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666));
  if (!file && errno == EEXIST) {
    throw Error(ErrorKind::store, fmt::format("another program is changing {}", printable(path.string())),
                fmt::format("wait until it is done; if none is, remove {}", printable(copy)));
  }
  if (!file) fail_disk(errno, "write " + copy);
  try {
    write_all(file.get(), before, copy);
    edit(*take<ConfigHandle>("open " + copy, git_config_open_ondisk, copy.c_str()));
    if (folder.read(std::filesystem::path(copy).filename().string()) == before) {
      (void)::unlink(copy.c_str());
      return;
    }
    const Fd changed(::open(copy.c_str(), O_RDONLY | O_NOFOLLOW | O_CLOEXEC));
    if (!changed) fail_disk(errno, "open " + copy);
    sync(changed.get(), copy);
    if (::rename(copy.c_str(), path.c_str()) != 0) fail_disk(errno, "write " + path.string());
  } catch (...) {
    (void)::unlink(copy.c_str());
    throw;
  }
  sync_folder(path.parent_path());
}

}  // namespace

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
  // It is there from the first change until all is written down: who finds it goes on with what was cut off.
  const std::filesystem::path under_way = ours / "settings-change";
  std::error_code failed;
  // One that is our own is a change that was left open; another's was cut off, and is continued.
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
  edit_config(git_repository_commondir(repo.get()), [&](git_config& config) {
    for (const auto& [name, value] : values) {
      git_buf held{};
      const bool same = git_config_get_string_buf(&held, &config, name.c_str()) == 0 && value == held.ptr;
      git_buf_dispose(&held);
      if (!same) check(git_config_set_string(&config, name.c_str(), value.c_str()), "set " + name);
    }
  });
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
  const std::filesystem::path above = file.parent_path();
  if (!make_folders(above)) fail_disk(errno, "make the folder " + above.string());
  Folder folder(above);
  folder.write(file.filename().string(), text, true, &folder);
  sync_folder(above);
}

}  // namespace keepway::store
