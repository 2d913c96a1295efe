// The bytes of a commit: who, when, and the message.
#include <fmt/format.h>

#include <algorithm>

#include "git/message.hpp"
#include "store/impl.hpp"

namespace keepway::store {
namespace {

constexpr std::int64_t year_10000 = 253402300800;  // seconds since 1970

// Git's configuration as it is now. Each look at it has libgit2 ask the disk whether its files changed.
class Configured {
 public:
  explicit Configured(git_repository& repo) {
    git_config* raw = nullptr;
    if (git_repository_config_snapshot(&raw, &repo) == 0) config_.reset(raw);
  }
  // Empty when it is not set or the configuration cannot be read.
  [[nodiscard]] std::string text(const char* name) const {
    const char* value = nullptr;
    if (!config_ || git_config_get_string(&value, config_.get(), name) != 0) return {};
    return value;
  }

 private:
  ConfigHandle config_;
};

std::string email_for(const Configured& configured, const std::string& name) {
  std::string email = configured.text("user.email");
  std::erase_if(email, [](char c) {
    return static_cast<unsigned char>(c) <= ' ' || c == '<' || c == '>' || c == 0x7f;
  });
  if (!email.empty()) return email;
  std::string local = name;
  std::replace_if(
      local.begin(), local.end(), [](char c) { return static_cast<unsigned char>(c) <= ' ' || c == '@'; },
      '-');
  return local + "@localhost";
}

void require_time(std::int64_t time) {
  if (time >= 0 && time < year_10000) return;
  throw Error(ErrorKind::input, fmt::format("{} seconds from 1970 is not a time that Git can keep", time),
              "give a time between 1970 and 9999");
}

}  // namespace

std::string email_for(git_repository& repo, const std::string& name) {
  return email_for(Configured(repo), name);
}

std::string commit_bytes(git_repository& repo, const git_oid& tree, const std::vector<git_oid>& parents,
                         const NewCommit& commit) {
  require_time(commit.at);
  require_time(commit.taken);
  const std::string author = clean_name(commit.author);
  const Configured configured(repo);
  const std::string user = configured.text("user.name");
  const std::string committer = user.empty() ? author : clean_name(user);
  std::string out = fmt::format("tree {}\n", oid_text(tree));
  for (const git_oid& parent : parents) out += fmt::format("parent {}\n", oid_text(parent));
  out += fmt::format("author {} <{}> {} +0000\n", author, email_for(configured, author), commit.at);
  out += fmt::format("committer {} <{}> {} +0000\n\n", committer, email_for(configured, committer),
                     commit.taken);
  return out + write_message(commit);
}

}  // namespace keepway::store
