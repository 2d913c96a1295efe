#include "cli/work_process.hpp"

#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <system_error>
#include <vector>

#include "keepway/error.hpp"

namespace keepway::cli {
namespace {

struct Note {
  std::uint64_t done = 0;
  std::uint64_t of = 0;
  std::array<char, 48> stage{};
};

bool write_all(int file, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t wrote = ::write(file, bytes.data(), bytes.size());
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(wrote));
  }
  return true;
}

// What is torn by reading it meanwhile is only shown, and right at the next look.
OnProgress teller(int file) {
  using Steady = std::chrono::steady_clock;
  return [file, last = Steady::time_point(), at = std::string()](std::string_view stage, std::uint64_t done,
                                                                 std::uint64_t of) mutable {
    constexpr auto between = std::chrono::milliseconds(100);
    const auto now = Steady::now();
    if (now - last < between && stage == at) return;
    last = now;
    at = stage;
    Note note{done, of, {}};
    stage.copy(note.stage.data(), note.stage.size() - 1);
    (void)::pwrite(file, &note, sizeof note, 0);
  };
}

// The server's port and its browsers. All else stays: libgit2 knows packs by the numbers of their open files.
void close_sockets() {
  std::vector<int> files;
  std::error_code ignored;
  for (std::filesystem::directory_iterator each("/proc/self/fd", ignored), end; each != end;
       each.increment(ignored))
    files.push_back(std::atoi(each->path().filename().c_str()));
  struct stat status {};
  for (const int file : files) {
    if (file > STDERR_FILENO && ::fstat(file, &status) == 0 && S_ISSOCK(status.st_mode)) ::close(file);
  }
}

// In the new process.
[[noreturn]] void work_and_end(pid_t parent, int progress, int answer,
                               const std::function<std::string(const OnProgress&)>& work) {
  for (const int signal : {SIGINT, SIGTERM, SIGHUP, SIGPIPE}) (void)std::signal(signal, SIG_DFL);
  (void)::prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (::getppid() != parent) ::_exit(1);
  bool is_done = false;
  try {
    close_sockets();
    is_done = write_all(answer, work(teller(progress)));
  } catch (...) {
    is_done = false;  // the page says that it ended without an answer
  }
  ::_exit(is_done ? 0 : 1);
}

void close(int& file) {
  if (file >= 0) ::close(file);
  file = -1;
}

}  // namespace

int WorkProcess::begin(const std::string& what, const std::function<std::string(const OnProgress&)>& work) {
  static int last = 0;
  number_ = ++last;
  close(progress_);
  close(answer_);
  what_ = what;
  is_whole_ = false;
  progress_ = ::memfd_create("progress", MFD_CLOEXEC);
  answer_ = ::memfd_create("answer", MFD_CLOEXEC);
  const pid_t parent = ::getpid();
  if (progress_ >= 0 && answer_ >= 0) pid_ = ::fork();
  if (pid_ == 0) work_and_end(parent, progress_, answer_, work);
  if (pid_ > 0) return number_;
  throw Error(ErrorKind::store, std::string("no process can be made for it: ") + std::strerror(errno),
              "close other programs, and try again");
}

bool WorkProcess::is_going() {
  if (pid_ < 0) return false;
  int status = 0;
  const pid_t ended = ::waitpid(pid_, &status, WNOHANG);
  if (ended == 0 || (ended < 0 && errno == EINTR)) return true;
  is_whole_ = ended == pid_ && WIFEXITED(status) && WEXITSTATUS(status) == 0;
  pid_ = -1;
  return false;
}

WorkProcess::Progress WorkProcess::progress() const {
  Note note;
  if (progress_ < 0 || ::pread(progress_, &note, sizeof note, 0) != sizeof note) return {};
  note.stage.back() = '\0';
  return {note.stage.data(), note.done, note.of};
}

std::string WorkProcess::answer() const {
  std::string text;
  if (!is_whole_) return text;
  std::array<char, 1U << 16U> part{};
  for (;;) {
    const ssize_t got = ::pread(answer_, part.data(), part.size(), static_cast<off_t>(text.size()));
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return text;
    text.append(part.data(), static_cast<std::size_t>(got));
  }
}

void WorkProcess::stop() {
  if (pid_ > 0) {
    // No other signal is sure: until the new process has put them back it has the server's handlers.
    (void)::kill(pid_, SIGKILL);
    while (::waitpid(pid_, nullptr, 0) < 0 && errno == EINTR) {
    }
    pid_ = -1;
  }
  close(progress_);
  close(answer_);
}

}  // namespace keepway::cli
