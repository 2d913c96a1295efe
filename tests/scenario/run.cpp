#include "run.hpp"

#include <fcntl.h>
#include <pty.h>
#include <sys/ptrace.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>

namespace scenario {
namespace {

Env isolated(const Env& more) {
  const char* path = std::getenv("PATH");
  Env env = {{"PATH", path != nullptr ? path : "/usr/bin:/bin"},
             {"HOME", "/nonexistent"},
             {"GIT_CONFIG_NOSYSTEM", "1"},
             {"GIT_CONFIG_GLOBAL", "/dev/null"},
             {"LC_ALL", "C"},
             {"TZ", "UTC"},
             {"TERM", "xterm"},
             {"USER", "ana"}};
  for (const char* kept : {"ASAN_OPTIONS", "UBSAN_OPTIONS", "LSAN_OPTIONS", "TSAN_OPTIONS", "KEEPWAY_MUTANT",
                           "KEEPWAY_REACHED"}) {
    if (const char* value = std::getenv(kept)) env[kept] = value;
  }
  for (const auto& [name, value] : more) env[name] = value;
  return env;
}

// All that exec needs, made before the fork.
struct Command {
  std::vector<std::string> words;
  std::vector<std::string> settings;
  std::vector<char*> argv;
  std::vector<char*> envp;

  Command(const std::string& program, const Args& args, const Env& env) : words{program} {
    words.insert(words.end(), args.begin(), args.end());
    for (const auto& [name, value] : isolated(env)) settings.push_back(name + "=" + value);
    for (std::string& word : words) argv.push_back(word.data());
    for (std::string& setting : settings) envp.push_back(setting.data());
    argv.push_back(nullptr);
    envp.push_back(nullptr);
  }
};

int exit_of(int status) {
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

int wait_for_pid(int pid) {
  int status = 0;
  while (::waitpid(pid, &status, 0) < 0) {
    if (errno != EINTR) throw std::runtime_error("waitpid failed");
  }
  return exit_of(status);
}

fs::path fresh_file(const char* what) {
  static std::atomic<int> next{0};
  return fs::temp_directory_path() /
         ("keepway-out-" + std::to_string(::getpid()) + "-" + std::to_string(next++) + "." + what);
}

}  // namespace

Started start(const std::string& program, const Args& args, const fs::path& cwd, const Env& env,
              const Limits& limits) {
  Command command(program, args, env);
  Started started{-1, fresh_file("out"), fresh_file("err")};
  // There for wait_for() even when the program is killed before it has opened them.
  for (const fs::path& file : {started.out, started.err}) write_file(file, "");
  started.pid = ::fork();
  if (started.pid < 0) throw std::runtime_error("fork failed");
  if (started.pid > 0) return started;
  const int in = ::open("/dev/null", O_RDONLY);
  const int out = ::open(started.out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
  const int err = ::open(started.err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
  if (in < 0 || out < 0 || err < 0 || ::dup2(in, 0) < 0 || ::dup2(out, 1) < 0 || ::dup2(err, 2) < 0 ||
      ::chdir(cwd.c_str()) != 0)
    ::_exit(126);
  if (limits.file_bytes > 0) {
    const rlimit limit{limits.file_bytes, limits.file_bytes};
    ::signal(SIGXFSZ, SIG_IGN);  // a write over the limit fails, as it does on a full disk
    if (::setrlimit(RLIMIT_FSIZE, &limit) != 0) ::_exit(126);
  }
  for (const int stream : limits.closed) ::close(stream);
  if (limits.traced && ::ptrace(PTRACE_TRACEME, 0, nullptr, nullptr) != 0) ::_exit(125);
  ::execvpe(program.c_str(), command.argv.data(), command.envp.data());
  ::_exit(127);
}

Ran wait_for(const Started& started) {
  Ran ran;
  ran.exit = wait_for_pid(started.pid);
  ran.out = read_file(started.out);
  ran.err = read_file(started.err);
  fs::remove(started.out);
  fs::remove(started.err);
  return ran;
}

Ran run(const std::string& program, const Args& args, const fs::path& cwd, const Env& env) {
  return wait_for(start(program, args, cwd, env));
}

Ran run_on_terminal(const std::string& program, const Args& args, const fs::path& cwd, const Env& env,
                    const std::string& typed) {
  Command command(program, args, env);
  int terminal = -1;
  const int pid = ::forkpty(&terminal, nullptr, nullptr, nullptr);
  if (pid < 0) throw std::runtime_error("forkpty failed");
  if (pid == 0) {
    if (::chdir(cwd.c_str()) != 0) ::_exit(126);
    ::execvpe(program.c_str(), command.argv.data(), command.envp.data());
    ::_exit(127);
  }
  if (::write(terminal, typed.data(), typed.size()) != static_cast<ssize_t>(typed.size()))
    throw std::runtime_error("nothing can be typed");
  Ran ran;
  char buffer[4096];
  for (ssize_t got = 0; (got = ::read(terminal, buffer, sizeof buffer)) != 0;) {
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) break;  // EIO: the child closed its side
    ran.out.append(buffer, static_cast<std::size_t>(got));
  }
  ::close(terminal);
  ran.exit = wait_for_pid(pid);
  return ran;
}

Ran keepway(const Args& args, const fs::path& cwd, const Env& env) {
  // Another program in its place runs it under a tool: see tests/valgrind.
  const char* under = std::getenv("KEEPWAY_TEST_PROGRAM");
  return run(under != nullptr ? under : KEEPWAY_PROGRAM, args, cwd, env);
}

Ran git(const fs::path& repository, const Args& args) {
  return run("git", args, repository);
}

std::string read_file(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in) throw std::runtime_error("cannot read " + file.string());
  return {std::istreambuf_iterator<char>(in), {}};
}

void write_file(const fs::path& file, std::string_view bytes) {
  std::ofstream out(file, std::ios::binary | std::ios::trunc);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (!out) throw std::runtime_error("cannot write " + file.string());
}

void write_tree(const fs::path& folder, const Tree& tree) {
  fs::create_directories(folder);
  for (const auto& [name, bytes] : tree) {
    if (name.back() == '/') {
      fs::create_directories(folder / name.substr(0, name.size() - 1));
    } else {
      fs::create_directories((folder / name).parent_path());
      write_file(folder / name, bytes);
    }
  }
}

Tree read_tree(const fs::path& folder) {
  Tree tree;
  const std::size_t root = folder.string().size() + 1;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    const std::string name = entry.path().string().substr(root);
    if (!entry.is_directory()) {
      tree[name] = read_file(entry.path());
    } else if (fs::is_empty(entry.path())) {
      tree[name + "/"];
    }
  }
  return tree;
}

Scratch::Scratch() {
  std::string form = (fs::temp_directory_path() / "keepway-scenario-XXXXXX").string();
  if (::mkdtemp(form.data()) == nullptr) throw std::runtime_error("mkdtemp failed");
  path_ = form;
}

Scratch::~Scratch() {
  std::error_code failed;
  fs::remove_all(path_, failed);
}

std::string Random::bytes(std::size_t count) {
  std::string out(count, '\0');
  for (char& c : out) c = static_cast<char>(engine_() & 0xffU);
  return out;
}

std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    lines.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return lines;
}

}  // namespace scenario
