#include "base/parallel.hpp"

#include <atomic>
#include <exception>
#include <mutex>
#include <system_error>
#include <thread>

namespace keepway {

void in_parallel(std::size_t count, bool worth, const std::function<void(std::size_t)>& work) {
  std::atomic<std::size_t> next{0};
  std::exception_ptr failure;
  std::mutex failure_guard;
  const auto run = [&] {
    try {
      for (std::size_t i = next++; i < count; i = next++) work(i);
    } catch (...) {
      const std::scoped_lock guard(failure_guard);
      if (!failure) failure = std::current_exception();
      next = count;
    }
  };
  std::thread second;
  try {
    if (worth && count > 1) second = std::thread(run);
  } catch (
      const std::system_error&) {  // NOLINT(bugprone-empty-catch): no thread to be had, so one does it all
  }
  run();
  if (second.joinable()) second.join();
  if (failure) std::rethrow_exception(failure);
}

void Count::one() {
  if (!on_progress_) return;
  const std::scoped_lock guard(guard_);
  on_progress_(what_, ++done_, of_);
}

}  // namespace keepway
