// Owns a file descriptor.
#pragma once

#include <unistd.h>

#include <utility>

namespace keepway {

class Fd {
 public:
  explicit Fd(int number = -1) : number_(number) {}
  Fd(Fd&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
  Fd& operator=(Fd&& other) noexcept {
    std::swap(number_, other.number_);
    return *this;
  }
  Fd(const Fd&) = delete;
  Fd& operator=(const Fd&) = delete;
  ~Fd() { close(); }

  [[nodiscard]] int get() const { return number_; }
  explicit operator bool() const { return number_ >= 0; }
  void close() {
    if (number_ >= 0) ::close(number_);
    number_ = -1;
  }

 private:
  int number_;
};

}  // namespace keepway
