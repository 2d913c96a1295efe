#include "git/git.hpp"

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <system_error>

#include "base/password.hpp"
#include "git/guard.hpp"
#include "git/plain_files.hpp"

namespace keepway::store {
namespace {

// One small pack a backup can come to more packs than a process may hold files open.
constexpr std::size_t open_packs = 128;

std::string remedy_for(int code, std::string_view message) {
  const auto says = [&](std::string_view part) { return message.find(part) != std::string_view::npos; };
  if (says("No space left") || says("quota exceeded")) {
    return "free some space on the disk and try again; the repository is as it was";
  }
  if (says("Read-only file system"))
    return "the disk is read-only: make it writable, or copy the shop elsewhere";
  if (says("Permission denied") || says("Operation not permitted")) {
    return "make sure that you own the folder, the machine's or the remote's, and may write to it";
  }
  if (says("Too many open files")) return "close other programs, or raise the limit on open files";
  if (says("object not found")) return lost_remedy;
  switch (code) {
    case GIT_EOWNER:
      return "take the folder over (chown), or trust it: git config --global --add safe.directory FOLDER "
             "(its whole path)";
    case GIT_ELOCKED:
      return "another Git program is running here: wait for it; if none is, remove the .lock file named "
             "above";
    case GIT_EMODIFIED:
      return "another program moved the branch meanwhile: try again";
    case GIT_ENOTFOUND:
      return "check the name, then run `git fsck` in the machine's folder";
    default:
      return "run `git fsck` in the machine's folder; if it reports damage, restore it from a copy";
  }
}

}  // namespace

void start_library() {
  static const int started = [] {
    const int code = git_libgit2_init();
    if (code > 0) {
      git_libgit2_opts(GIT_OPT_ENABLE_FSYNC_GITDIR, 1);
      git_libgit2_opts(GIT_OPT_ENABLE_STRICT_HASH_VERIFICATION, 1);  // of what git_odb_read() reads
      git_libgit2_opts(GIT_OPT_SET_MWINDOW_FILE_LIMIT, open_packs);
    }
    return code;
  }();
  check(started, "start libgit2");
}

RepoHandle open_repository(const std::filesystem::path& folder) {
  start_library();
  std::error_code failed;
  const auto is_there = [&](const char* name) {
    return std::filesystem::exists(std::filesystem::symlink_status(folder / name, failed));
  };
  if (is_there("machine.toml") && !is_there(".git")) {
    throw Error(
        ErrorKind::store,
        fmt::format("{} has no .git folder: no backup is in it any more", printable(folder.string())),
        "move that folder elsewhere, then bring the machine back from its remote or from another PC's "
        "copy: keepway sync NAME --to URL; edits of layout.toml and namebook.tsv can be copied back then");
  }
  require_plain_files(folder);
  auto repo = take<RepoHandle>("open the repository " + folder.string(), git_repository_open_ext,
                               folder.c_str(), static_cast<unsigned>(GIT_REPOSITORY_OPEN_NO_SEARCH),
                               static_cast<const char*>(nullptr));
  guard(*repo);
  return repo;
}

void check(int code, std::string_view doing) {
  if (code >= 0) return;
  const git_error* last = git_error_last();
  std::string message = printable(
      without_passwords(last != nullptr && last->message != nullptr ? last->message : "no reason given"));
  // libgit2 1.5 reports the setting that would allow it, and that it did not find that.
  if (message == "config value 'safe.directory' was not found") code = GIT_EOWNER;
  if (code == GIT_EOWNER) message = "it belongs to another user";
  std::string remedy = remedy_for(code, message);
  const auto says = [&](std::string_view part) { return message.find(part) != std::string::npos; };
  // libgit2: "object not found - no match for id (ID)".
  constexpr std::string_view missing = "object not found - no match for id (";
  if (message.starts_with(missing))
    message = fmt::format("the object {} is lost", message.substr(missing.size(), oid_digits));
  if (says("objectformat") || says("object format") || says("sha256")) {
    message = "its objects have SHA-256 ids, and keepway works on Git's usual SHA-1 ones";
    remedy =
        "nothing is damaged, and git reads it; for keepway, enroll the machine again and take its backups in "
        "from their folders: keepway pile MACHINE FOLDER";
  } else if (says("worktreeconfig") || says("worktreeConfig")) {
    message = "its setting extensions.worktreeConfig is one that keepway's Git library does not know";
    remedy =
        "nothing is damaged; bring what config.worktree says into config, then take the setting away: git "
        "config "
        "--unset extensions.worktreeConfig";
  }
  throw Error(ErrorKind::store, fmt::format("cannot {}: {}", printable(doing), message), std::move(remedy));
}

void fail_disk(int error_number, std::string_view doing) {
  const std::string message = std::generic_category().message(error_number);
  throw Error(ErrorKind::store, fmt::format("cannot {}: {}", printable(doing), message),
              remedy_for(0, message));
}

Oid oid_text(const git_oid& id) {
  std::array<char, oid_digits> digits{};
  git_oid_fmt(digits.data(), &id);
  return {digits.data(), digits.size()};
}

git_oid parse_oid(std::string_view text) {
  git_oid id{};
  if (text.size() != oid_digits || git_oid_fromstrn(&id, text.data(), text.size()) != 0) {
    throw Error(ErrorKind::usage, fmt::format("'{}' is not the id of a Git object", printable(text)),
                "give the 40 hex digits that `git log` shows");
  }
  return id;
}

}  // namespace keepway::store
