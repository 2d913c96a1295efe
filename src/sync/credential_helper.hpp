// One of Git's credential helpers asked for a password: a program that reads `key=value` lines and answers
// with such lines (gitcredentials(7), git-credential(1)).
//
// Motivation: Git runs a helper's text through a shell. keepway starts the program itself, so that a
// configuration can name a program but no more; what would need a shell is passed over, and it is reported.
// A helper is only ever asked (`get`); `store` and `erase` are never sent.
#pragma once

#include <chrono>
#include <string>

namespace keepway::store {

// Of a variable of the environment; empty where it is not set.
std::string environment_value(const char* name);

struct HelperAnswer {
  std::string user;      // "" where the helper did not say
  std::string password;  // the same
  bool quit = false;     // it wants no other helper to be asked
  std::string fault;     // why there is no answer, for people; without the helper's own text but its name
};

// `helper` is a value of credential.helper: "store --file X" for git-credential-store, on the PATH or in
// Git's folder of programs, or the whole path of a program; words end at blanks, and "~/" at a word's begin
// is the home folder. `question` ends with an empty line. The program has no terminal, may take `limit`, and
// is ended, with those that it started, when it takes longer.
constexpr std::chrono::milliseconds helper_limit = std::chrono::seconds(30);
HelperAnswer ask_helper(const std::string& helper, const std::string& question,
                        std::chrono::milliseconds limit = helper_limit);

}  // namespace keepway::store
