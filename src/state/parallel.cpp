#include "state/parallel.hpp"

#include <sched.h>

#include <atomic>
#include <exception>
#include <mutex>

namespace keepway {

Second::Second(std::function<void()> work) : work_(std::move(work)) {
  pthread_attr_t attributes;
  ::pthread_attr_init(&attributes);
  const int here = ::sched_getcpu();
  if (here >= 0 && ::sched_getaffinity(0, sizeof allowed_, &allowed_) == 0 && CPU_COUNT(&allowed_) > 1) {
    cpu_set_t others = allowed_;
    CPU_CLR(static_cast<unsigned>(here), &others);
    ::pthread_attr_setaffinity_np(&attributes, sizeof others, &others);
    elsewhere_ = true;
  }
  pthread_t made{};
  if (::pthread_create(&made, &attributes, run, this) == 0) thread_ = made;
  ::pthread_attr_destroy(&attributes);
  if (!thread_) work_();
}

Second::~Second() {
  if (thread_) ::pthread_join(*thread_, nullptr);
}

void* Second::run(void* made) {
  const Second& self = *static_cast<Second*>(made);
  if (self.elsewhere_) (void)::sched_setaffinity(0, sizeof self.allowed_, &self.allowed_);
  self.work_();
  return nullptr;
}

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
  {
    std::optional<Second> second;
    if (worth && count > 1) second.emplace(run);
    run();
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace keepway
