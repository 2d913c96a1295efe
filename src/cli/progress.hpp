// One line on standard error that tells how far a long work is: only on a terminal, and only once it has
// taken a second.
#pragma once

#include <chrono>
#include <cstddef>
#include <string>

namespace keepway::cli {

class Progress {
 public:
  // `what` for people: "backups".
  Progress(std::string what, std::size_t total, bool quiet);
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  Progress(Progress&&) = delete;
  Progress& operator=(Progress&&) = delete;
  ~Progress();  // takes the line away

  // `at` is what it is at, safe to print.
  void step(std::size_t done, const std::string& at);

 private:
  using Clock = std::chrono::steady_clock;
  std::string what_;
  std::size_t total_;
  bool shown_;
  bool drawn_ = false;
  Clock::time_point begun_ = Clock::now();
  Clock::time_point last_ = begun_;
};

// "3 h 12 min", "4 min 10 s", "8 s".
std::string duration_text(std::chrono::seconds time);

}  // namespace keepway::cli
