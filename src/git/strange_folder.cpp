#include "git/strange_folder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <string_view>

#include "git/folder.hpp"
#include "git/form.hpp"
#include "git/guard.hpp"
#include "git/object_folders.hpp"
#include "git/plain_files.hpp"

namespace keepway::store {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t max_files = 1'000'000;      // loose objects, refs and logs
constexpr std::uintmax_t max_config = 1U << 20U;  // bytes
constexpr std::uintmax_t max_packed_refs = 64U << 20U;
constexpr std::size_t max_packed_lines = 250'000;  // of 100,000 refs, each with what a tag stands for
constexpr std::uintmax_t max_ref = 4096;           // HEAD or a ref by itself

[[noreturn]] void refuse(const std::string& shown, const std::string& what) {
  throw Error(ErrorKind::store, fmt::format("cannot reach {}: {}", shown, what),
              "nothing was read or written there; copy it with 'git clone --bare' on the PC that it is from, "
              "and name the copy");
}

fs::file_type type_of(const fs::path& path) {
  std::error_code failed;
  return fs::symlink_status(path, failed).type();
}

class PlainFolder {
 public:
  PlainFolder(fs::path folder, const std::string& shown) : folder_(std::move(folder)), shown_(shown) {}

  void require() {
    for (const char* name : {"commondir", "gitdir"}) {
      if (type_of(folder_ / name) != fs::file_type::not_found)
        refuse(shown_, fmt::format("its {} leads to another folder", name));
    }
    for (const char* name : {"config", "config.worktree", "HEAD", "packed-refs", "shallow", "keepway.lock"})
      require_file(folder_ / name, type_of(folder_ / name));
    require_below(folder_ / "refs", max_ref);
    for (const char* name : {"logs", "keepway"}) require_below(folder_ / name);
    for (const fs::path& objects : object_folders(folder_ / "objects")) require_below(objects);
    require_size(folder_ / "HEAD", max_ref);
    require_size(folder_ / "packed-refs", max_packed_refs);
    require_size(folder_ / "objects" / "info" / "alternates", max_alternates);
    require_lines();
    for (const char* name : {"config", "config.worktree"}) {
      require_size(folder_ / name, max_config);
      require_alone(name);
    }
  }

 private:
  [[nodiscard]] std::string shown_path(const fs::path& path) const {
    return printable(path.lexically_relative(folder_).string().substr(0, 200));
  }

  void require_file(const fs::path& path, fs::file_type type) {
    if (type == fs::file_type::regular || type == fs::file_type::not_found) return;
    refuse(shown_, fmt::format("'{}' is {}", shown_path(path),
                               type == fs::file_type::symlink ? "a symbolic link" : "no plain file"));
  }

  void require_size(const fs::path& path, std::uintmax_t most) {
    std::error_code absent;
    const auto size = fs::file_size(path, absent);
    if (absent || size <= most) return;
    refuse(shown_, fmt::format("'{}' is larger than {} bytes", shown_path(path), most));
  }

  void require_below(const fs::path& top, std::uintmax_t most = UINTMAX_MAX) {
    const fs::file_type type = type_of(top);
    if (type == fs::file_type::not_found) return;
    if (type != fs::file_type::directory) require_file(top, type);
    std::error_code failed;
    for (fs::recursive_directory_iterator at(top, failed), end; !failed && at != end; at.increment(failed)) {
      if (++files_ > max_files) refuse(shown_, fmt::format("it has more than {} files", max_files));
      const fs::file_type found = at->symlink_status(failed).type();
      if (found != fs::file_type::directory) {
        require_file(at->path(), found);
        if (most != UINTMAX_MAX) require_size(at->path(), most);
      }
      if (static_cast<std::size_t>(at.depth()) > max_depth) refuse(shown_, "its folders are too deep");
    }
    if (failed) fail_disk(failed.value(), "look through " + top.string());
  }

  // libgit2 takes a minute for a name of megabytes, and as long for a million of names.
  void require_lines() {
    const std::string text = Folder(folder_).read("packed-refs").value_or("");
    std::size_t lines = 0;
    for (std::size_t at = 0; at < text.size(); ++lines) {
      const std::size_t end = std::min(text.find('\n', at), text.size());
      if (end - at > max_ref) refuse(shown_, "its packed-refs has a line that is too long for a name");
      at = end + 1;
    }
    if (lines > max_packed_lines)
      refuse(shown_, fmt::format("its packed-refs has more than {} lines", max_packed_lines));
  }

  // A configuration that names no other file.
  void require_alone(const std::string& name) {
    if (includes_others(Folder(folder_).read(name).value_or("")))
      refuse(shown_, fmt::format("its {} has other files read with it ([include])", name));
  }

  static constexpr std::size_t max_depth = 64;
  fs::path folder_;
  const std::string& shown_;
  std::size_t files_ = 0;
};

RepoHandle open_plain(const fs::path& folder) {
  start_library();
  return take<RepoHandle>("open the repository " + folder.string(), git_repository_open_ext, folder.c_str(),
                          static_cast<unsigned>(GIT_REPOSITORY_OPEN_NO_SEARCH),
                          static_cast<const char*>(nullptr));
}

}  // namespace

fs::path plain_git_folder(const fs::path& folder, const std::string& shown) {
  fs::path git_folder = folder / ".git";
  const fs::file_type type = type_of(git_folder);
  if (type == fs::file_type::not_found) {
    git_folder = folder;
  } else if (type != fs::file_type::directory) {
    refuse(shown, "its .git leads to another folder");
  }
  if (type_of(git_folder / "HEAD") == fs::file_type::not_found ||
      type_of(git_folder / "objects") == fs::file_type::not_found) {
    throw Error(ErrorKind::store, fmt::format("cannot reach {}: there is no Git repository in it", shown),
                "check the URL; make the repository on the server first: git init --bare NAME.git");
  }
  PlainFolder(git_folder, shown).require();
  return git_folder;
}

RepoHandle open_strange_folder(const fs::path& folder, const std::string& shown) {
  auto repo = open_plain(plain_git_folder(folder, shown));
  guard(*repo, max_file);
  return repo;
}

RepoHandle open_strange_folder_whole(const fs::path& folder, const std::string& shown) {
  auto repo = open_plain(plain_git_folder(folder, shown));
  if (const auto fault = guard(*repo, max_file)) {
    throw Error(
        ErrorKind::store,
        fmt::format("{} is damaged: {}: {}", shown, printable(fault->index.string()), fault->what),
        "nothing was moved; there, have the index made again: move it away, then `git index-pack` the "
        "pack, or `git multi-pack-index write` for the one over all packs; if that does not help, "
        "the pack is bad");
  }
  return repo;
}

}  // namespace keepway::store
