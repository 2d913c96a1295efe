// Who we are to a remote: asked for by libgit2, answered from the agent, files and variables that Git and
// ssh use. Each source is tried once. Nothing is stored.
#pragma once

#include <git2.h>

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "keepway/error.hpp"
#include "sync/credential_config.hpp"
#include "sync/credential_helper.hpp"

namespace keepway::store {

class Credentials {
 public:
  // `repo`: whose configuration names Git's credential helpers. It must outlive this.
  explicit Credentials(git_repository& repo) : repo_(repo) {}

  // A git_credential_acquire_cb; `self` is a Credentials.
  static int acquire(git_credential** out, const char* url, const char* user, unsigned allowed, void* self);

  // Why none could be given, when acquire() failed.
  [[nodiscard]] const std::optional<Error>& failure() const { return failure_; }
  void start() {
    tried_.clear();
    notes_.clear();
  }

 private:
  int give(git_credential** out, const std::string& url, const std::string& user, unsigned allowed);
  int give_key(git_credential** out, const std::string& user);
  int give_password(git_credential** out, const std::string& url, const std::string& user);
  std::optional<HelperAnswer> ask_helpers(const UrlParts& url);
  bool first(const char* source) { return tried_.insert(source).second; }

  git_repository& repo_;
  std::set<std::string> tried_;
  std::optional<Error> failure_;
  std::vector<std::string> notes_;  // why helpers gave nothing
};

}  // namespace keepway::store
