#include "store/sync_credentials.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <filesystem>
#include <vector>

#include "store/disk.hpp"
#include "store/git.hpp"

extern char** environ;  // NOLINT(readability-redundant-declaration): unistd.h has it only as an extension

namespace keepway::store {
namespace {

constexpr std::size_t max_answer = 64U << 10;

std::string variable(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? "" : value;
}

struct UrlParts {
  std::string scheme;
  std::string host;  // with port
  std::string path;
};

UrlParts parts_of(const std::string& url) {
  UrlParts parts;
  const std::size_t colon = url.find("://");
  if (colon == std::string::npos) return parts;
  parts.scheme = url.substr(0, colon);
  const std::size_t begin = colon + 3;
  const std::size_t slash = std::min(url.find('/', begin), url.size());
  parts.host = url.substr(begin, slash - begin);
  parts.host.erase(0, parts.host.rfind('@') + 1);  // npos + 1 is 0
  if (slash < url.size()) parts.path = url.substr(slash + 1);
  return parts;
}

bool is_loopback(std::string host) {
  if (host.starts_with("[::1]")) return true;
  host.resize(std::min(host.find(':'), host.size()));
  return host == "localhost" || host == "127.0.0.1";
}

// Git's own helpers, by `git credential fill`: user and password, or nullopt. It asks nobody.
std::optional<std::pair<std::string, std::string>> ask_git(const std::string& git_folder, const UrlParts& url,
                                                           const std::string& user) {
  std::string question = fmt::format("protocol={}\nhost={}\npath={}\n", url.scheme, url.host, url.path);
  if (!user.empty()) question += "username=" + user + "\n";
  // One answer a line: a URL must not be able to add lines of its own.
  for (const std::string& part : {url.scheme, url.host, url.path, user}) {
    if (part.find_first_of(std::string_view("\n\r\0", 3)) != std::string::npos) return std::nullopt;
  }
  question += "\n";

  std::array<int, 2> in{};
  std::array<int, 2> out{};
  if (::pipe2(in.data(), O_CLOEXEC) != 0) return std::nullopt;
  const Fd in_read(in[0]);
  Fd in_write(in[1]);
  if (::pipe2(out.data(), O_CLOEXEC) != 0) return std::nullopt;
  const Fd out_read(out[0]);
  Fd out_write(out[1]);

  std::vector<std::string> settings = {"GIT_TERMINAL_PROMPT=0", "GIT_ASKPASS="};
  for (char** at = environ; *at != nullptr; ++at) {
    const std::string_view setting = *at;
    const bool ours = setting.starts_with("GIT_TERMINAL_PROMPT=") || setting.starts_with("GIT_ASKPASS=");
    if (!ours) settings.emplace_back(setting);
  }
  std::vector<char*> envp;
  envp.reserve(settings.size() + 1);
  for (std::string& setting : settings) envp.push_back(setting.data());
  envp.push_back(nullptr);
  std::array<std::string, 4> words = {"git", "--git-dir=" + git_folder, "credential", "fill"};
  std::array<char*, 5> argv = {words[0].data(), words[1].data(), words[2].data(), words[3].data(), nullptr};

  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, in_read.get(), STDIN_FILENO);
  posix_spawn_file_actions_adddup2(&actions, out_write.get(), STDOUT_FILENO);
  posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  pid_t child = -1;
  const int failed = ::posix_spawnp(&child, "git", &actions, nullptr, argv.data(), envp.data());
  posix_spawn_file_actions_destroy(&actions);
  if (failed != 0) return std::nullopt;
  out_write = Fd();
  // The question is far smaller than a pipe holds, so this cannot block.
  const bool asked =
      ::write(in_write.get(), question.data(), question.size()) == static_cast<ssize_t>(question.size());
  in_write = Fd();
  std::string answer;
  std::array<char, 4096> buffer{};
  while (answer.size() < max_answer) {
    const ssize_t got = ::read(out_read.get(), buffer.data(), buffer.size());
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) break;
    answer.append(buffer.data(), static_cast<std::size_t>(got));
  }
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  if (!asked || status != 0) return std::nullopt;

  std::pair<std::string, std::string> found;
  for (std::size_t at = 0; at < answer.size();) {
    const std::size_t end = std::min(answer.find('\n', at), answer.size());
    const std::string_view line = std::string_view(answer).substr(at, end - at);
    if (line.starts_with("username=")) found.first = line.substr(9);
    if (line.starts_with("password=")) found.second = line.substr(9);
    at = end + 1;
  }
  if (found.second.empty()) return std::nullopt;
  return found;
}

Error unknown(const std::string& url, bool ssh) {
  return {
      Exit::store, fmt::format("{} does not know us", printable(without_password(url))),
      ssh ? "load your key into ssh-agent (ssh-add), or name its file in $KEEPWAY_SSH_KEY; the key must be "
            "of a kind that both sides take (ed25519)"
          : "set $KEEPWAY_GIT_USER and $KEEPWAY_GIT_PASSWORD, or a credential helper in Git's "
            "configuration (git config credential.helper)"};
}

}  // namespace

int Credentials::acquire(git_credential** out, const char* url, const char* user, unsigned allowed,
                         void* self) {
  auto& credentials = *static_cast<Credentials*>(self);
  try {
    return credentials.give(out, url == nullptr ? "" : url, user == nullptr ? "" : user, allowed);
  } catch (const Error& error) {
    credentials.failure_ = error;
  } catch (const std::exception& error) {
    credentials.failure_ = Error(Exit::store, error.what(), "try again");
  }
  return GIT_EUSER;
}

int Credentials::give(git_credential** out, const std::string& url, const std::string& user,
                      unsigned allowed) {
  if ((allowed & GIT_CREDENTIAL_USERNAME) != 0) {
    return git_credential_username_new(out, user.empty() ? "git" : user.c_str());
  }
  const bool ssh = (allowed & GIT_CREDENTIAL_SSH_KEY) != 0;
  const bool password = (allowed & GIT_CREDENTIAL_USERPASS_PLAINTEXT) != 0 && !parts_of(url).scheme.empty() &&
                        parts_of(url).scheme.starts_with("http");
  int code = GIT_PASSTHROUGH;
  if (ssh) code = give_key(out, user.empty() ? "git" : user);
  if (!ssh && password) code = give_password(out, url, user);
  if (code == GIT_PASSTHROUGH) throw unknown(url, !password);
  return code;
}

int Credentials::give_key(git_credential** out, const std::string& user) {
  const auto key = [&](const std::string& file, const std::string& passphrase) {
    return git_credential_ssh_key_new(out, user.c_str(), nullptr, file.c_str(), passphrase.c_str());
  };
  if (const std::string file = variable("KEEPWAY_SSH_KEY"); !file.empty() && first("named key")) {
    if (!std::filesystem::exists(file)) {
      throw Error(Exit::store, fmt::format("$KEEPWAY_SSH_KEY names {}, which is not there", printable(file)),
                  "name the file of a private key");
    }
    return key(file, variable("KEEPWAY_SSH_PASSPHRASE"));
  }
  if (!variable("SSH_AUTH_SOCK").empty() && first("agent")) {
    if (git_credential_ssh_key_from_agent(out, user.c_str()) == 0) return 0;
  }
  for (const char* name : {"id_ed25519", "id_ecdsa"}) {
    const std::filesystem::path file = std::filesystem::path(variable("HOME")) / ".ssh" / name;
    std::error_code failed;
    if (std::filesystem::exists(file, failed) && first(name)) return key(file.string(), "");
  }
  return GIT_PASSTHROUGH;
}

int Credentials::give_password(git_credential** out, const std::string& url, const std::string& user) {
  const UrlParts parts = parts_of(url);
  if (parts.scheme != "https" && !is_loopback(parts.host)) {
    throw Error(Exit::store,
                fmt::format("{} asks for a password, and the way there can be read by anyone",
                            printable(without_password(url))),
                "use an https or ssh URL");
  }
  const std::string name = variable("KEEPWAY_GIT_USER");
  const std::string password = variable("KEEPWAY_GIT_PASSWORD");
  if (!password.empty() && first("variables")) {
    return git_credential_userpass_plaintext_new(out, name.empty() ? user.c_str() : name.c_str(),
                                                 password.c_str());
  }
  if (first("helpers")) {
    if (const auto found = ask_git(git_folder_, parts, user)) {
      return git_credential_userpass_plaintext_new(out, found->first.c_str(), found->second.c_str());
    }
  }
  return GIT_PASSTHROUGH;
}

std::string without_password(const std::string& url) {
  const std::size_t begin = url.find("://");
  if (begin == std::string::npos) return url;
  const std::size_t slash = std::min(url.find('/', begin + 3), url.size());
  const std::size_t at = url.rfind('@', slash);
  const std::size_t colon = url.find(':', begin + 3);
  if (at == std::string::npos || at < begin || colon == std::string::npos || colon > at) return url;
  return url.substr(0, colon) + url.substr(at);
}

}  // namespace keepway::store
