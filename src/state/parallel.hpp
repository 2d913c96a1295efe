// Work shared by two threads.
#pragma once

#include <pthread.h>
#include <sched.h>

#include <cstddef>
#include <functional>
#include <future>
#include <optional>
#include <type_traits>
#include <utility>

namespace keepway {

// A second thread, whose end the end of its scope waits for. It starts on another processor than the one that
// makes it: the kernel now and then queues a new thread behind its maker, where it begins when that waits for
// it.
class Second {
 public:
  // `work` must not throw. Where there is no thread to be had, it is done at once.
  explicit Second(std::function<void()> work);
  Second(const Second&) = delete;
  Second& operator=(const Second&) = delete;
  Second(Second&&) = delete;
  Second& operator=(Second&&) = delete;
  ~Second();

 private:
  static void* run(void* made);
  std::function<void()> work_;
  cpu_set_t allowed_{};  // where the maker may run, and it too once it has started
  bool elsewhere_ = false;
  std::optional<pthread_t> thread_;
};

// Work that a second thread does; get(), once, waits for its result or rethrows its failure.
template <typename Work>
class Aside {
 public:
  explicit Aside(Work work) : task_(std::move(work)) {}
  auto get() { return result_.get(); }

 private:
  using Result = std::invoke_result_t<Work>;
  std::packaged_task<Result()> task_;
  std::future<Result> result_ = task_.get_future();
  Second thread_{[this] { task_(); }};  // the last: it uses the others
};

// Calls work(0) ... work(count - 1), each once and in no order when it is `worth` a second thread and there
// is one to be had; else one after another. Rethrows the first failure; what was not begun then is not done.
void in_parallel(std::size_t count, bool worth, const std::function<void(std::size_t)>& work);

}  // namespace keepway
