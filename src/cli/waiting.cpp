#include <fmt/format.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdio>
#include <mutex>
#include <thread>

#include "cli/command.hpp"

namespace keepway::cli {
namespace {

using namespace std::chrono_literals;
constexpr auto patience = 1s;  // before anything is shown
constexpr auto pause = 200ms;  // between two lines

// A thread of its own, so that every command has it, whatever the library is at.
struct Shown {
  std::atomic<const char*> what = nullptr;  // a literal
  std::atomic<std::size_t> done = 0;
  std::atomic<std::size_t> of = 0;
  std::mutex mutex;
  std::condition_variable woken;
  bool over = false;
  std::thread thread;

  void run() {
    const auto begun = std::chrono::steady_clock::now();
    std::unique_lock lock(mutex);
    if (woken.wait_for(lock, patience, [this] { return over; })) return;
    while (!over) {
      const auto took = std::chrono::steady_clock::now() - begun;
      std::string line = fmt::format("\r{} {} s", what != nullptr ? what.load() : "working,",
                                     std::chrono::duration_cast<std::chrono::seconds>(took).count());
      if (of != 0) line += fmt::format(", {} %", done * 100 / of);
      std::fputs((line + "\x1b[K").c_str(), stderr);
      std::fflush(stderr);
      woken.wait_for(lock, pause, [this] { return over; });
    }
    std::fputs("\r\x1b[K", stderr);
    std::fflush(stderr);
  }
};

std::unique_ptr<Shown> shown;

}  // namespace

Waiting::Waiting() {
  if (::isatty(STDERR_FILENO) != 1) return;
  shown = std::make_unique<Shown>();
  try {
    shown->thread = std::thread([] { shown->run(); });
  } catch (const std::system_error&) {  // a system without threads to spare: the work goes on unseen
    shown.reset();
  }
}

Waiting::~Waiting() {
  stop();
}

void Waiting::step(const char* what, std::size_t done, std::size_t of) {
  if (shown == nullptr) return;
  shown->what = what;
  shown->of = of;
  shown->done = done;
}

void Waiting::stop() {
  if (shown == nullptr) return;
  {
    const std::lock_guard lock(shown->mutex);
    shown->over = true;
  }
  shown->woken.notify_one();
  shown->thread.join();
  shown.reset();
}

}  // namespace keepway::cli
