#include "sync/sync_credentials.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cstdlib>
#include <filesystem>

#include "base/password.hpp"
#include "git/git.hpp"
#include "sync/credential_helper.hpp"

namespace keepway::store {
namespace {

bool is_loopback(std::string host) {
  if (host.starts_with("[::1]")) return true;
  host.resize(std::min(host.find(':'), host.size()));
  return host == "localhost" || host == "127.0.0.1";
}

// One answer a line: a URL must not be able to add lines of its own.
std::optional<std::string> question_for(const UrlParts& url, const CredentialConfig& config,
                                        const std::string& user) {
  std::string question = fmt::format("protocol={}\nhost={}\n", url.scheme, url.host);
  if (config.with_path) question += "path=" + url.path + "\n";
  if (!user.empty()) question += "username=" + user + "\n";
  for (const std::string& part : {url.scheme, url.host, url.path, user}) {
    if (part.find_first_of(std::string_view("\n\r\0", 3)) != std::string::npos) return std::nullopt;
  }
  return question + "\n";
}

Error unknown(const std::string& url, bool ssh, const std::vector<std::string>& notes) {
  return {ErrorKind::store,
          fmt::format("{} did not accept the login{}{}", printable(without_passwords(url)),
                      notes.empty() ? "" : ": ", fmt::join(notes, "; ")),
          ssh ? "load your key into ssh-agent (ssh-add), or name its file in $KEEPWAY_SSH_KEY; the key must "
                "be of a kind that both sides accept (ed25519)"
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
    credentials.failure_ = Error(ErrorKind::store, error.what(), "try again");
  }
  return GIT_EUSER;
}

int Credentials::give(git_credential** out, const std::string& url, const std::string& user,
                      unsigned allowed) {
  if ((allowed & GIT_CREDENTIAL_USERNAME) != 0) {
    return git_credential_username_new(out, user.empty() ? "git" : user.c_str());
  }
  const bool ssh = (allowed & GIT_CREDENTIAL_SSH_KEY) != 0;
  const bool password =
      (allowed & GIT_CREDENTIAL_USERPASS_PLAINTEXT) != 0 && url_parts(url).scheme.starts_with("http");
  int code = GIT_PASSTHROUGH;
  if (ssh) code = give_key(out, user.empty() ? "git" : user);
  if (!ssh && password) code = give_password(out, url, user);
  if (code == GIT_PASSTHROUGH) throw unknown(url, !password, notes_);
  return code;
}

int Credentials::give_key(git_credential** out, const std::string& user) {
  const auto key = [&](const std::string& file, const std::string& passphrase) {
    return git_credential_ssh_key_new(out, user.c_str(), nullptr, file.c_str(), passphrase.c_str());
  };
  if (const std::string file = environment_value("KEEPWAY_SSH_KEY"); !file.empty() && first("named key")) {
    if (!std::filesystem::exists(file)) {
      throw Error(ErrorKind::store,
                  fmt::format("$KEEPWAY_SSH_KEY names {}, which does not exist", printable(file)),
                  "name the file of a private key");
    }
    return key(file, environment_value("KEEPWAY_SSH_PASSPHRASE"));
  }
  if (!environment_value("SSH_AUTH_SOCK").empty() && first("agent")) {
    if (git_credential_ssh_key_from_agent(out, user.c_str()) == 0) return 0;
  }
  for (const char* name : {"id_ed25519", "id_ecdsa"}) {
    const std::filesystem::path file = std::filesystem::path(environment_value("HOME")) / ".ssh" / name;
    std::error_code failed;
    if (std::filesystem::exists(file, failed) && first(name)) return key(file.string(), "");
  }
  return GIT_PASSTHROUGH;
}

int Credentials::give_password(git_credential** out, const std::string& url, const std::string& user) {
  UrlParts parts = url_parts(url);
  if (parts.scheme != "https" && !is_loopback(parts.host)) {
    throw Error(ErrorKind::store,
                fmt::format("{} asks for a password, and the connection is not encrypted",
                            printable(without_passwords(url))),
                "use an https or ssh URL");
  }
  const std::string name = environment_value("KEEPWAY_GIT_USER");
  const std::string password = environment_value("KEEPWAY_GIT_PASSWORD");
  if (!password.empty() && first("variables")) {
    return git_credential_userpass_plaintext_new(out, name.empty() ? user.c_str() : name.c_str(),
                                                 password.c_str());
  }
  if (first("helpers")) {
    parts.user = user.empty() ? name : user;
    if (const auto found = ask_helpers(parts)) {
      return git_credential_userpass_plaintext_new(out, found->user.c_str(), found->password.c_str());
    }
  }
  return GIT_PASSTHROUGH;
}

std::optional<HelperAnswer> Credentials::ask_helpers(const UrlParts& url) {
  const auto snapshot = take<ConfigHandle>("read the configuration", git_repository_config_snapshot, &repo_);
  const CredentialConfig config = credential_config(*snapshot, url);
  HelperAnswer found;
  found.user = url.user.empty() ? config.user : url.user;
  for (const std::string& helper : config.helpers) {
    const auto question = question_for(url, config, found.user);
    if (!question) return std::nullopt;
    const HelperAnswer answer = ask_helper(helper, *question);
    if (!answer.fault.empty()) notes_.push_back(answer.fault);
    if (!answer.user.empty()) found.user = answer.user;
    if (!answer.password.empty()) found.password = answer.password;
    if (!found.user.empty() && !found.password.empty()) return found;
    if (answer.quit) break;
  }
  return std::nullopt;
}

}  // namespace keepway::store
