// A stream that zlib inflates: begun, and ended with its owner.
#pragma once

#include <zlib.h>

#include <algorithm>
#include <cstddef>
#include <new>
#include <string_view>

namespace keepway::store {

class InflateStream {
 public:
  InflateStream() {
    if (inflateInit(&state_) != Z_OK) throw std::bad_alloc();
  }
  InflateStream(const InflateStream&) = delete;
  InflateStream& operator=(const InflateStream&) = delete;
  InflateStream(InflateStream&&) = delete;
  InflateStream& operator=(InflateStream&&) = delete;
  ~InflateStream() { inflateEnd(&state_); }

  struct Step {
    int code = Z_OK;        // zlib's answer
    std::size_t taken = 0;  // of the bytes that were offered
    std::size_t given = 0;  // into the room
  };
  // Inflates as far as both reach; at most 1 GiB of either at once.
  Step step(std::string_view in, char* out, std::size_t room, int flush = Z_NO_FLUSH) {
    constexpr std::size_t most = std::size_t{1} << 30U;
    const std::size_t offered = std::min(in.size(), most);
    const std::size_t wanted = std::min(room, most);
    state_.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(in.data()));  // NOLINT: only read
    state_.avail_in = static_cast<uInt>(offered);
    state_.next_out = reinterpret_cast<Bytef*>(out);
    state_.avail_out = static_cast<uInt>(wanted);
    const int code = ::inflate(&state_, flush);
    return {code, offered - state_.avail_in, wanted - state_.avail_out};
  }
  // For the next stream.
  void reset() { inflateReset(&state_); }

 private:
  z_stream state_{};
};

}  // namespace keepway::store
