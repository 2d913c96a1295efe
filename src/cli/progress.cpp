#include "cli/progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <condition_variable>
#include <cstdio>
#include <memory>
#include <mutex>
#include <system_error>
#include <thread>

#include "cli/terminal.hpp"

namespace keepway::cli {
namespace {

using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;
constexpr auto patience = 1s;  // before anything is shown
constexpr auto pause = 200ms;  // between two lines

// A thread of its own, so that every command has it, whatever the library is at.
struct Line {
  std::mutex mutex;
  std::condition_variable woken;
  bool over = false;
  Clock::time_point begun = Clock::now();
  std::string what;
  std::size_t done = 0;
  std::size_t of = 0;
  std::string at;
  std::thread thread;

  [[nodiscard]] std::string text() const {
    const auto took = Clock::now() - begun;
    if (what.empty()) {
      return fmt::format("working, {}",
                         duration_text(std::chrono::duration_cast<std::chrono::seconds>(took)));
    }
    if (of == 0) return fmt::format("{}: {}  {:.40}", what, done, at);
    const double seconds = std::chrono::duration<double>(took).count();
    const double rate = seconds > 0 ? static_cast<double>(done) / seconds : 0;
    std::string text = fmt::format("{}: {} of {}", what, done, of);
    if (rate > 0 && done < of) {
      const auto left =
          std::chrono::seconds(static_cast<std::int64_t>(static_cast<double>(of - done) / rate) + 1);
      text += fmt::format(", {:.{}f} a second, {} left", rate, rate < 10 ? 1 : 0, duration_text(left));
    }
    return text + fmt::format("  {:.40}", at);
  }

  void run() {
    std::unique_lock lock(mutex);
    if (woken.wait_for(lock, patience, [this] { return over; })) return;
    while (!over) {
      std::fputs(("\r" + terminal_text(text()) + "\x1b[K").c_str(), stderr);
      std::fflush(stderr);
      woken.wait_for(lock, pause, [this] { return over; });
    }
    std::fputs("\r\x1b[K", stderr);
    std::fflush(stderr);
  }
};

std::unique_ptr<Line> status_line;

}  // namespace

Progress::Progress() {
  if (status_line != nullptr || ::isatty(STDERR_FILENO) != 1) return;
  status_line = std::make_unique<Line>();
  try {
    status_line->thread = std::thread([] { status_line->run(); });
  } catch (const std::system_error&) {  // a system without threads to spare: the work goes on unseen
    status_line.reset();
  }
}

Progress::~Progress() {
  stop();
}

void Progress::step(std::string_view what, std::size_t done, std::size_t of, std::string_view at) {
  if (status_line == nullptr) return;
  const std::lock_guard lock(status_line->mutex);
  if (status_line->what != what) status_line->begun = Clock::now();  // another work, with a pace of its own
  status_line->what = what;
  status_line->done = done;
  status_line->of = of;
  status_line->at = at;
}

void Progress::stop() {
  if (status_line == nullptr) return;
  {
    const std::lock_guard lock(status_line->mutex);
    status_line->over = true;
  }
  status_line->woken.notify_one();
  status_line->thread.join();
  status_line.reset();
}

std::string duration_text(std::chrono::seconds time) {
  const auto seconds = time.count();
  if (seconds >= 3600) return fmt::format("{} h {} min", seconds / 3600, seconds / 60 % 60);
  if (seconds >= 60) return fmt::format("{} min {} s", seconds / 60, seconds % 60);
  return fmt::format("{} s", seconds);
}

}  // namespace keepway::cli
