#include "sync/quarantine.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstdio>
#include <string_view>

#include "git/dead_locks.hpp"
#include "sync/checked_packs.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view prefix = "received-";
// Of programs that are no more.
void clear_left(const fs::path& ours) {
  std::error_code failed;
  for (fs::directory_iterator at(ours, failed), end; !failed && at != end; at.increment(failed)) {
    const std::string name = at->path().filename().string();
    if (!name.starts_with(prefix)) continue;
    pid_t pid = 0;
    std::from_chars(name.data() + prefix.size(), name.data() + name.size(), pid);
    std::error_code stays;
    if (has_ended(pid)) fs::remove_all(at->path(), stays);
  }
}

fs::path made_for_us(const fs::path& git_folder) {
  const fs::path ours = git_folder / "keepway";
  clear_left(ours);
  return ours / fmt::format("{}{}", prefix, ::getpid());
}

}  // namespace

Receiving::Receiving(const fs::path& folder, fs::path git_folder)
    : git_folder_(std::move(git_folder)), passing_(made_for_us(git_folder_)), repo_(open_repository(folder)) {
  std::error_code failed;
  fs::create_directory(packs(), failed);
  if (failed) fail_disk(failed.value(), "make a folder in " + passing_.path().string());
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, repo_.get());
  check_packs_that_come(*odb, passing_.path());
}

void Receiving::keep() {
  const fs::path from = packs();
  const fs::path to = git_folder_ / "objects" / "pack";
  std::error_code failed;
  if (fs::create_directory(to, failed)) sync_folder(to.parent_path());
  for (const auto& entry : fs::directory_iterator(from)) {
    if (entry.path().extension() == ".pack") held_.emplace_back(to / entry.path().stem());
  }
  // A pack is there once its index is.
  for (const char* ending : {".pack", ".idx"}) {
    for (const auto& entry : fs::directory_iterator(from)) {
      if (entry.path().extension() != ending) continue;
      const fs::path target = to / entry.path().filename();
      if (::rename(entry.path().c_str(), target.c_str()) != 0) fail_disk(errno, "keep " + target.string());
    }
  }
  sync_folder(to);
}

}  // namespace keepway::store
