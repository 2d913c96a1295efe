// A long work done beside the pages: they are answered meanwhile, and it can be stopped.
#pragma once

#include <sys/types.h>

#include <cstdint>
#include <functional>
#include <string>

#include "cli/acts.hpp"

namespace keepway::cli {

// Motivation: the server has one thread, and the library's work on a repository is safe against any other
// process that works there, killed at any moment or not. So the work has a process of its own, which ends
// with this one.
class WorkProcess {
 public:
  struct Progress {
    std::string stage;  // "" before the first
    std::uint64_t done = 0;
    std::uint64_t of = 0;  // 0: not known
  };

  WorkProcess() = default;
  ~WorkProcess() { stop(); }
  WorkProcess(const WorkProcess&) = delete;
  WorkProcess& operator=(const WorkProcess&) = delete;
  WorkProcess(WorkProcess&&) = delete;
  WorkProcess& operator=(WorkProcess&&) = delete;

  // Begins; `what` names it. Gives its number, which no other work of this program has. Precondition:
  // !is_going(). Error{store} when no process can be made.
  int begin(const std::string& what, const std::function<std::string(const OnProgress&)>& work);
  [[nodiscard]] bool is_going();
  [[nodiscard]] const std::string& what() const { return what_; }
  [[nodiscard]] int number() const { return number_; }
  [[nodiscard]] Progress progress() const;
  // What the work gave; "" where it was stopped or ended otherwise. Precondition: !is_going().
  [[nodiscard]] std::string answer() const;
  void stop();

 private:
  std::string what_;
  int number_ = 0;
  pid_t pid_ = -1;
  bool is_whole_ = false;
  int progress_ = -1;  // files in memory that both processes have
  int answer_ = -1;
};

}  // namespace keepway::cli
