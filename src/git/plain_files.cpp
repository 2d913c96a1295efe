#include "git/plain_files.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cstdint>
#include <string>
#include <string_view>

#include "git/file_parts.hpp"
#include "git/folder.hpp"
#include "git/git.hpp"

namespace keepway::store {
namespace {

namespace fs = std::filesystem;

constexpr int deepest = 64;                                     // of refs
constexpr std::uint64_t max_settings = std::uint64_t{1} << 20;  // bytes of a configuration

[[noreturn]] void refuse_place(const fs::path& path, std::string_view what) {
  throw Error(
      ErrorKind::store, fmt::format("{} {}", printable(path.string()), what),
      "nothing was read or written there; see who put it there, and put a plain file or folder in its "
      "place, from a clone");
}

void require_plain(const fs::path& path, fs::file_type type) {
  if (type == fs::file_type::symlink) refuse_place(path, "is a symbolic link, which Git would write through");
  const bool plain = type == fs::file_type::regular || type == fs::file_type::directory ||
                     type == fs::file_type::not_found || type == fs::file_type::none;
  if (!plain) refuse_place(path, "is a pipe or a device, where Git has a file");
}

void require_own_settings(const fs::path& file) {
  const FileParts config(file);
  if (config.size() > max_settings) refuse_place(file, "is larger than 1 MiB, which no settings of Git are");
  if (includes_others(config.read(0, config.size()).value_or("")))
    refuse_place(file, "takes settings from another file (a section [include] or [includeIf])");
}

void require_plain_git_folder(const fs::path& git_folder) {
  for (const char* name : {"HEAD", "config", "config.worktree", "packed-refs", "index", "commondir",
                           "shallow", "keepway", "keepway.lock", "refs", "logs", "objects", "objects/pack",
                           "objects/info", "objects/info/alternates", "objects/info/commit-graph"}) {
    std::error_code absent;
    require_plain(git_folder / name, fs::symlink_status(git_folder / name, absent).type());
  }
  for (const char* name : {"config", "config.worktree"}) require_own_settings(git_folder / name);
  std::error_code absent;
  if (const auto size = fs::file_size(git_folder / "objects/info/alternates", absent);
      !absent && size > max_alternates)
    refuse_place(git_folder / "objects/info/alternates", "names more folders than anybody borrows from");
  for (const char* name : {"refs", "logs"}) {
    std::error_code failed;
    for (fs::recursive_directory_iterator at(git_folder / name, failed), end; !failed && at != end;
         at.increment(failed)) {
      require_plain(at->path(), at->symlink_status(absent).type());
      if (at.depth() > deepest)
        refuse_place(git_folder / name, "holds folders that are too deep in each other");
    }
  }
}

// "gitdir: /shop/mill-1/.git/worktrees/x"
fs::path named_by(const fs::path& file) {
  constexpr std::string_view key = "gitdir: ";
  constexpr std::uint64_t most = 8192;  // bytes of a path, and more
  const FileParts parts(file);          // a Folder reads nothing called .git
  std::string text = parts.read(0, std::min(parts.size(), most)).value_or("");
  while (text.ends_with('\n') || text.ends_with('\r')) text.pop_back();
  return text.starts_with(key) ? file.parent_path() / text.substr(key.size()) : fs::path();
}

void require_named_back(const fs::path& git_file) {
  const fs::path place = named_by(git_file);
  std::error_code failed;
  std::string back;
  if (fs::is_directory(place, failed)) back = Folder(place).read("gitdir").value_or("");
  while (back.ends_with('\n')) back.pop_back();
  if (back.empty() || !fs::equivalent(place / back, git_file, failed))
    refuse_place(git_file, "leads to a folder that does not name it as a work tree of its own");
  require_plain_git_folder(place);
  std::string common = Folder(place).read("commondir").value_or("");
  while (common.ends_with('\n')) common.pop_back();
  if (!common.empty()) require_plain_git_folder(place / common);
}

}  // namespace

bool includes_others(std::string config) {
  std::transform(config.begin(), config.end(), config.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  for (std::size_t at = config.find('['); at != std::string::npos; at = config.find('[', at + 1)) {
    const std::size_t word = config.find_first_not_of(" \t", at + 1);
    if (word != std::string::npos && config.compare(word, 7, "include") == 0) return true;
  }
  return false;
}

void require_plain_files(const fs::path& folder) {
  const fs::path git = folder / ".git";
  std::error_code absent;
  const fs::file_type type = fs::symlink_status(git, absent).type();
  if (type == fs::file_type::directory) {
    if (fs::exists(git / "commondir", absent)) refuse_place(git / "commondir", "leads to another folder");
    return require_plain_git_folder(git);
  }
  require_plain(git, type);
  if (type == fs::file_type::regular) return require_named_back(git);
  require_plain_git_folder(folder);  // one without a work tree
}

}  // namespace keepway::store
