#include "killed.hpp"

#include <fcntl.h>
#include <signal.h>
#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <optional>
#include <stdexcept>

namespace scenario {
namespace {

bool changes_something(const __ptrace_syscall_info& info) {
  switch (info.entry.nr) {
    case SYS_openat:
      return (info.entry.args[2] & (O_WRONLY | O_RDWR | O_CREAT | O_TRUNC)) != 0;
#ifdef SYS_open  // not on every processor
    case SYS_open:
      return (info.entry.args[1] & (O_WRONLY | O_RDWR | O_CREAT | O_TRUNC)) != 0;
    case SYS_creat:
    case SYS_rename:
    case SYS_link:
    case SYS_unlink:
    case SYS_rmdir:
    case SYS_mkdir:
#endif
    case SYS_write:
    case SYS_pwrite64:
    case SYS_writev:
    case SYS_fsync:
    case SYS_fdatasync:
    case SYS_ftruncate:
    case SYS_renameat:
    case SYS_renameat2:
    case SYS_linkat:
    case SYS_symlinkat:
    case SYS_unlinkat:
    case SYS_mkdirat:
    case SYS_utimensat:
    case SYS_fchmod:
      return true;
    default:
      return false;
  }
}

// The call that it is on the way into, when that changes something.
std::optional<long> at_change(int pid) {
  __ptrace_syscall_info info{};
  if (::ptrace(static_cast<__ptrace_request>(PTRACE_GET_SYSCALL_INFO), pid, sizeof info, &info) <= 0)
    return std::nullopt;
  if (info.op != PTRACE_SYSCALL_INFO_ENTRY || !changes_something(info)) return std::nullopt;
  return static_cast<long>(info.entry.nr);
}

}  // namespace

bool can_trace() {
  const Started started = start("true", {}, ".", {}, {0, {}, true});
  int status = 0;
  const bool stopped = ::waitpid(started.pid, &status, 0) == started.pid && WIFSTOPPED(status);
  bool reported = false;
  if (stopped) {
    __ptrace_syscall_info info{};
    reported =
        ::ptrace(static_cast<__ptrace_request>(PTRACE_GET_SYSCALL_INFO), started.pid, sizeof info, &info) > 0;
    ::ptrace(PTRACE_CONT, started.pid, nullptr, nullptr);
    ::waitpid(started.pid, &status, 0);
  }
  fs::remove(started.out);
  fs::remove(started.err);
  return stopped && reported;
}

Ran keepway_watched(const Args& args, const fs::path& cwd, const std::function<bool(long call)>& at) {
  // The leak checker cannot work on a program that is traced.
  const Started started =
      start(KEEPWAY_PROGRAM, args, cwd, {{"ASAN_OPTIONS", "detect_leaks=0"}}, {0, {}, true});
  Ran ran;
  int status = 0;
  if (::waitpid(started.pid, &status, 0) != started.pid || !WIFSTOPPED(status))
    throw std::runtime_error("the program cannot be traced");
  constexpr long options = PTRACE_O_TRACESYSGOOD | PTRACE_O_TRACECLONE | PTRACE_O_EXITKILL;
  ::ptrace(PTRACE_SETOPTIONS, started.pid, nullptr, options);
  ::ptrace(PTRACE_SYSCALL, started.pid, nullptr, nullptr);
  while (true) {
    const int pid = ::waitpid(-1, &status, __WALL);
    if (pid < 0) throw std::runtime_error("the program that was traced is gone");
    if (!WIFSTOPPED(status)) {
      if (pid != started.pid) continue;  // a thread's end
      ran.exit = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
      break;
    }
    const int signal = WSTOPSIG(status);
    const bool of_trace = signal == (SIGTRAP | 0x80) || signal == SIGTRAP || signal == SIGSTOP;
    const auto call = signal == (SIGTRAP | 0x80) ? at_change(pid) : std::nullopt;
    if (call && !at(*call)) {
      ::kill(started.pid, SIGKILL);
      continue;
    }
    ::ptrace(PTRACE_SYSCALL, pid, nullptr, of_trace ? 0L : static_cast<long>(signal));
  }
  ran.out = read_file(started.out);
  ran.err = read_file(started.err);
  fs::remove(started.out);
  fs::remove(started.err);
  return ran;
}

Killed keepway_killed(const Args& args, const fs::path& cwd, std::size_t last) {
  Killed killed;
  killed.ran = keepway_watched(args, cwd, [&](long /*call*/) { return killed.changes++ != last; });
  killed.finished = killed.ran.exit < 128;
  return killed;
}

}  // namespace scenario
