// Work shared by two threads.
#pragma once

#include <cstddef>
#include <functional>
#include <mutex>
#include <string_view>

#include "keepway/on_progress.hpp"

namespace keepway {

// Calls work(0) ... work(count - 1), each once and in no order when it is `worth` a second thread and there
// is one to be had; else one after another. Rethrows the first failure; what was not begun then is not done.
void in_parallel(std::size_t count, bool worth, const std::function<void(std::size_t)>& work);

// Counts what the two have done, and tells it each time.
class Count {
 public:
  // `on_progress` must live as long. `done`: before the first.
  Count(const OnProgress& on_progress, std::string_view what, std::uint64_t of, std::uint64_t done = 0)
      : on_progress_(on_progress), what_(what), of_(of), done_(done) {}
  void one();

 private:
  const OnProgress& on_progress_;
  std::string_view what_;
  std::uint64_t of_;
  std::uint64_t done_;
  std::mutex guard_;
};

}  // namespace keepway
