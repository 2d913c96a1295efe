// One program run and measured: wall time, processor time and peak memory of the process itself, its answer
// kept.
#pragma once

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <vector>

namespace bench {

struct Run {
  double milliseconds = 0;
  double processor = 0;  // milliseconds, the program's own and the kernel's for it
  long peak_kb = 0;
  std::string out;

  // What two programs took that were run one after the other.
  Run& operator+=(const Run& next) {
    milliseconds += next.milliseconds;
    processor += next.processor;
    peak_kb = std::max(peak_kb, next.peak_kb);
    return *this;
  }
};

// Standard output goes through a file, so that a slow reader costs no one time. Throws when it exits above 1.
inline Run run(const std::vector<std::string>& arguments, const std::filesystem::path& folder) {
  static const std::string aside = fmt::format("/dev/shm/keepway-bench-out-{}", getpid());
  std::vector<char*> argv;
  argv.reserve(arguments.size() + 1);
  for (const std::string& argument : arguments) argv.push_back(const_cast<char*>(argument.c_str()));
  argv.push_back(nullptr);
  const auto start = std::chrono::steady_clock::now();
  const pid_t child = vfork();
  if (child == 0) {
    const int out = ::open(aside.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (::dup2(out, 1) < 0 || ::chdir(folder.c_str()) != 0) _exit(127);
    ::execvp(argv[0], argv.data());
    _exit(127);
  }
  int status = 0;
  struct rusage used {};
  ::wait4(child, &status, 0, &used);
  const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
  if (!WIFEXITED(status) || WEXITSTATUS(status) > 1) {
    throw std::runtime_error(fmt::format("failed ({}): {}", status, fmt::join(arguments, " ")));
  }
  const auto in_milliseconds = [](const struct timeval& time) {
    return static_cast<double>(time.tv_sec) * 1e3 + static_cast<double>(time.tv_usec) / 1e3;
  };
  std::ifstream in(aside, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(in), {}};
  ::unlink(aside.c_str());
  return {took.count(), in_milliseconds(used.ru_utime) + in_milliseconds(used.ru_stime), used.ru_maxrss,
          std::move(text)};
}

}  // namespace bench
