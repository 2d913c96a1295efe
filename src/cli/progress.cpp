#include "cli/progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <utility>

#include "cli/command.hpp"

namespace keepway::cli {

Progress::Progress(std::string what, std::size_t total, bool quiet)
    : what_(std::move(what)), total_(total), shown_(!quiet && ::isatty(STDERR_FILENO) == 1) {
  Waiting::stop();  // one line is enough
}

Progress::~Progress() {
  if (drawn_) std::fputs("\r\x1b[K", stderr);
}

void Progress::step(std::size_t done, const std::string& at) {
  using namespace std::chrono_literals;
  const auto now = Clock::now();
  if (!shown_ || now - begun_ < 1s || (drawn_ && now - last_ < 100ms)) return;
  last_ = now;
  drawn_ = true;
  const double seconds = std::chrono::duration<double>(now - begun_).count();
  const double rate = static_cast<double>(done) / seconds;
  const auto left = std::chrono::seconds(
      rate > 0 ? static_cast<std::int64_t>(static_cast<double>(total_ - done) / rate) + 1 : 0);
  fmt::print(stderr, "\r\x1b[K{} of {} {}, {:.{}f} a second, {} left  {:.40}", done, total_, what_, rate,
             rate < 10 ? 1 : 0, duration_text(left), at);
  std::fflush(stderr);
}

std::string duration_text(std::chrono::seconds time) {
  const auto seconds = time.count();
  if (seconds >= 3600) return fmt::format("{} h {} min", seconds / 3600, seconds / 60 % 60);
  if (seconds >= 60) return fmt::format("{} min {} s", seconds / 60, seconds % 60);
  return fmt::format("{} s", seconds);
}

}  // namespace keepway::cli
