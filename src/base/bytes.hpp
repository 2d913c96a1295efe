// Numbers and texts as bytes, for files that only keepway reads: a number in sevens of bits, the lowest
// first, a text behind its length.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace keepway {

inline void put_number(std::string& out, std::uint64_t value) {
  for (; value >= 0x80; value >>= 7U) out += static_cast<char>(value | 0x80U);
  out += static_cast<char>(value);
}

inline void put_text(std::string& out, std::string_view text) {
  put_number(out, text.size());
  out += text;
}

// Reads them back. Never steps past the end: what is cut off there gives what is left, and is not sound, nor
// is what follows.
class TakeBytes {
 public:
  explicit TakeBytes(std::string_view bytes) : rest_(bytes) {}
  [[nodiscard]] bool sound() const { return sound_; }
  [[nodiscard]] std::string_view rest() const { return rest_; }

  std::uint8_t byte() {
    const std::string_view one = bytes(1);
    return one.empty() ? std::uint8_t{0} : static_cast<std::uint8_t>(one.front());
  }
  std::uint64_t number() {
    std::uint64_t value = 0;
    for (unsigned shift = 0; shift < 64; shift += 7) {
      const std::uint8_t byte = this->byte();
      value |= static_cast<std::uint64_t>(byte & 0x7fU) << shift;
      if (byte < 0x80) return value;
    }
    sound_ = false;
    return value;
  }
  std::string_view bytes(std::uint64_t size) {
    sound_ = sound_ && size <= rest_.size();
    const std::string_view out = rest_.substr(0, static_cast<std::size_t>(size));
    rest_.remove_prefix(out.size());
    return out;
  }
  std::string_view text() { return bytes(number()); }

 protected:
  void expect(bool right) { sound_ = sound_ && right; }

 private:
  std::string_view rest_;
  bool sound_ = true;
};

}  // namespace keepway
