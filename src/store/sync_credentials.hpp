// Who we are to a remote: asked for by libgit2, answered from the agent, files and variables that Git and
// ssh use. Each source is tried once. Nothing is stored.
//
// Git's credential helpers are programs, and only Git knows how each is called; so Git is asked (`git
// credential fill`), by its name and without a shell, and told to put no question to anybody.
#pragma once

#include <git2.h>

#include <optional>
#include <set>
#include <string>

#include "keepway/error.hpp"

namespace keepway::store {

class Credentials {
 public:
  // `git_folder`: whose configuration names the credential helpers.
  explicit Credentials(std::string git_folder) : git_folder_(std::move(git_folder)) {}

  // A git_credential_acquire_cb; `self` is a Credentials.
  static int acquire(git_credential** out, const char* url, const char* user, unsigned allowed, void* self);

  // Why none could be given, when acquire() failed.
  [[nodiscard]] const std::optional<Error>& failure() const { return failure_; }
  void start() { tried_.clear(); }

 private:
  int give(git_credential** out, const std::string& url, const std::string& user, unsigned allowed);
  int give_key(git_credential** out, const std::string& user);
  int give_password(git_credential** out, const std::string& url, const std::string& user);
  bool first(const char* source) { return tried_.insert(source).second; }

  std::string git_folder_;
  std::set<std::string> tried_;
  std::optional<Error> failure_;
};

// A URL without the password in it, for people.
std::string without_password(const std::string& url);

}  // namespace keepway::store
