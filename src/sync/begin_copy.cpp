#include "sync/begin_copy.hpp"

#include "git/git.hpp"
#include "git/new_folder.hpp"
#include "keepway/sync.hpp"

namespace keepway::store {

void begin_copy(const std::filesystem::path& folder) {
  git_repository* raw = nullptr;
  const int code = git_repository_open_ext(&raw, folder.c_str(), GIT_REPOSITORY_OPEN_NO_SEARCH, nullptr);
  const RepoHandle there(raw);
  if (code == 0) return;
  NewFolder made(folder);
  git_repository_init_options options{};
  check(git_repository_init_options_init(&options, GIT_REPOSITORY_INIT_OPTIONS_VERSION), "make a repository");
  options.flags = GIT_REPOSITORY_INIT_MKPATH | GIT_REPOSITORY_INIT_NO_REINIT;
  options.initial_head = "main";
  take<RepoHandle>("make a repository in " + folder.string(), git_repository_init_ext, made.path().c_str(),
                   &options);
  made.put_in_place();
}

bool only_git_in(const std::filesystem::path& folder) {
  std::error_code failed;
  if (!std::filesystem::exists(folder, failed)) return true;
  for (const auto& entry : std::filesystem::directory_iterator(folder, failed)) {
    if (entry.path().filename() != ".git") return false;
  }
  return !failed;
}

}  // namespace keepway::store
