#include "sync/credential_helper.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <csignal>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <optional>
#include <thread>
#include <vector>

#include "git/folder.hpp"
#include "git/git.hpp"

extern char** environ;  // NOLINT(readability-redundant-declaration): unistd.h has it only as an extension

namespace keepway::store {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

constexpr std::size_t max_answer = 64U << 10U;
// What every pipe holds (pipe(7)): so asking never waits for the helper.
constexpr std::size_t max_question = 4096;

std::vector<std::string> split(const std::string& text, std::string_view at) {
  std::vector<std::string> out;
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = std::min(text.find_first_of(at, begin), text.size());
    if (end > begin) out.push_back(text.substr(begin, end - begin));
    begin = end + 1;
  }
  return out;
}

// As Git looks: its own folder first. No folder that depends on the current one.
std::string find_helper(const std::string& name) {
  if (name.find('/') != std::string::npos) return {};
  std::vector<std::string> folders = {environment_value("GIT_EXEC_PATH"), "/usr/lib/git-core",
                                      "/usr/libexec/git-core"};
  for (std::string& folder : split(environment_value("PATH"), ":")) folders.push_back(std::move(folder));
  for (const std::string& folder : folders) {
    if (!folder.starts_with('/')) continue;
    std::string file = folder;
    file.append("/git-credential-").append(name);
    std::error_code failed;
    if (fs::is_regular_file(file, failed) && ::access(file.c_str(), X_OK) == 0) return file;
  }
  return {};
}

// Environment in which nothing asks a person.
std::vector<std::string> quiet_environment() {
  const std::array<std::string_view, 3> quiet = {"GIT_TERMINAL_PROMPT=0", "GIT_ASKPASS=", "SSH_ASKPASS="};
  std::vector<std::string> out(quiet.begin(), quiet.end());
  for (char** at = environ; *at != nullptr; ++at) {
    const std::string_view setting = *at;
    const bool ours = std::any_of(quiet.begin(), quiet.end(), [&](std::string_view each) {
      return setting.starts_with(each.substr(0, each.find('=') + 1));
    });
    if (!ours) out.emplace_back(setting);
  }
  return out;
}

std::vector<char*> pointers(std::vector<std::string>& texts) {
  std::vector<char*> out;
  out.reserve(texts.size() + 1);
  for (std::string& text : texts) out.push_back(text.data());
  out.push_back(nullptr);
  return out;
}

// -1 when it cannot be started. The child leads a session of its own: it has no terminal to ask at, and can
// be ended with all that it started.
pid_t start_helper(std::vector<std::string> words, int in, int out) {
  std::vector<std::string> environment = quiet_environment();
  const auto argv = pointers(words);
  const auto envp = pointers(environment);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, in, STDIN_FILENO);
  posix_spawn_file_actions_adddup2(&actions, out, STDOUT_FILENO);
  posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSID);
  pid_t child = -1;
  const int failed = ::posix_spawn(&child, words[0].c_str(), &actions, &attributes, argv.data(), envp.data());
  posix_spawnattr_destroy(&attributes);
  posix_spawn_file_actions_destroy(&actions);
  return failed == 0 ? child : -1;
}

bool is_whole(const std::string& answer) {
  return answer.starts_with('\n') || answer.find("\n\n") != std::string::npos;
}

// Until its end or an empty line. False when it took too long or said too much.
bool read_answer(int from, Clock::time_point end, std::string& answer) {
  std::array<char, 4096> buffer{};
  while (answer.size() < max_answer) {
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(end - Clock::now()).count();
    pollfd wanted{from, POLLIN, 0};
    const int ready = left <= 0 ? 0 : ::poll(&wanted, 1, static_cast<int>(left));
    if (ready < 0 && errno == EINTR) continue;
    if (ready <= 0) return false;
    const ssize_t got = ::read(from, buffer.data(), buffer.size());
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return true;
    answer.append(buffer.data(), static_cast<std::size_t>(got));
    if (is_whole(answer)) return true;
  }
  return false;
}

// Its exit status; nullopt when it did not end in time.
std::optional<int> wait_for_end(pid_t child, Clock::time_point end) {
  int status = 0;
  while (true) {
    const pid_t ended = ::waitpid(child, &status, WNOHANG);
    if (ended == child) return status;
    if ((ended < 0 && errno != EINTR) || Clock::now() >= end) return std::nullopt;
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
}

void end_now(pid_t child) {
  ::kill(-child, SIGKILL);
  while (::waitpid(child, nullptr, 0) < 0 && errno == EINTR) {
  }
}

HelperAnswer parsed(const std::string& answer) {
  HelperAnswer out;
  bool expired = false;
  for (std::size_t at = 0; at < answer.size();) {
    const std::size_t end = std::min(answer.find('\n', at), answer.size());
    const std::string_view line = std::string_view(answer).substr(at, end - at);
    at = end + 1;
    if (line.empty()) break;
    const std::size_t equal = line.find('=');
    if (equal == std::string_view::npos) continue;
    const std::string_view key = line.substr(0, equal);
    const std::string_view value = line.substr(equal + 1);
    if (key == "username") out.user = value;
    if (key == "password") out.password = value;
    if (key == "quit") out.quit = value == "1" || value == "true";
    if (key == "password_expiry_utc") {
      std::int64_t until = 0;
      const auto read = std::from_chars(value.data(), value.data() + value.size(), until);
      expired = read.ec == std::errc() && until <= std::time(nullptr);
    }
  }
  if (expired) out.password.clear();
  return out;
}

}  // namespace

std::string environment_value(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? "" : value;
}

HelperAnswer ask_helper(const std::string& helper, const std::string& question,
                        std::chrono::milliseconds limit) {
  HelperAnswer none;
  // A helper's text may hold a password, so no more than its first word is reported, and of a shell's not
  // even that.
  if (helper.starts_with('!') || helper.find_first_of("\"'\\`$;&|<>()*?[\n") != std::string::npos) {
    none.fault =
        helper.starts_with('!')
            ? "a credential helper that begins with '!' needs a shell, and keepway starts no shell"
            : "a credential helper has quotes or characters for a shell, and keepway starts no shell";
    return none;
  }
  std::vector<std::string> words = split(helper, " \t");
  if (words.empty()) return none;
  const std::string name = printable(words[0]);
  if (!words[0].starts_with('/')) words[0] = find_helper(words[0]);
  if (words[0].empty()) {
    none.fault = fmt::format("git-credential-{} is not on the PATH, nor among Git's own programs", name);
    return none;
  }
  for (std::string& word : words) {
    if (word.starts_with("~/")) word.replace(0, 1, environment_value("HOME"));
  }
  words.emplace_back("get");
  none.fault = fmt::format("the credential helper {} could not be asked", name);
  std::array<int, 2> in{};
  std::array<int, 2> out{};
  if (question.size() > max_question || ::pipe2(in.data(), O_CLOEXEC) != 0) return none;
  const Fd in_read(in[0]);
  Fd in_write(in[1]);
  if (::pipe2(out.data(), O_CLOEXEC) != 0) return none;
  const Fd out_read(out[0]);
  Fd out_write(out[1]);
  // Before it starts: a helper that reads nothing must not end us by a broken pipe.
  if (::write(in_write.get(), question.data(), question.size()) != static_cast<ssize_t>(question.size()))
    return none;
  in_write = Fd();
  const auto end = Clock::now() + limit;
  const pid_t child = start_helper(words, in_read.get(), out_write.get());
  if (child < 0) {
    none.fault = fmt::format("the credential helper {} cannot be started", name);
    return none;
  }
  out_write = Fd();
  std::string answer;
  const bool answered = read_answer(out_read.get(), end, answer);
  const auto status = answered ? wait_for_end(child, end) : std::nullopt;
  if (!status) {
    end_now(child);
    none.fault = answer.size() >= max_answer
                     ? fmt::format("the credential helper {} said more than {} bytes", name, max_answer)
                     : fmt::format("the credential helper {} took longer than {} s, and was stopped", name,
                                   std::chrono::duration<double>(limit).count());
    return none;
  }
  if (*status != 0) {
    none.fault = fmt::format("the credential helper {} failed", name);
    return none;
  }
  return parsed(answer);
}

}  // namespace keepway::store
