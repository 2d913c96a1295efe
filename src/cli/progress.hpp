// How far a long work is: one line on standard error, from the first second on, written over and gone at the
// end; only when that is a terminal.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace keepway::cli {

// One line at a time: main() has it for every command, until an answer is printed; what works on after that
// makes another.
class Progress {
 public:
  Progress();
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  Progress(Progress&&) = delete;
  Progress& operator=(Progress&&) = delete;

  // `what` is counted ("backups"), `of` is 0 where nobody knows, `at` is what it is at; both safe to print.
  // Costs next to nothing, and does nothing when there is no line.
  static void step(std::string_view what, std::size_t done, std::size_t of, std::string_view at = {});
  // The same as an OnProgress.
  static void report(std::string_view what, std::uint64_t done, std::uint64_t of) { step(what, done, of); }
  // Takes the line away: called before anything else is written.
  static void stop();
};

// "3 h 12 min", "4 min 10 s", "8 s".
std::string duration_text(std::chrono::seconds time);

}  // namespace keepway::cli
