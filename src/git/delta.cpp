#include "git/delta.hpp"

#include <algorithm>
#include <bit>
#include <cstdint>
#include <cstring>
#include <vector>

namespace keepway::store {
namespace {

constexpr std::size_t block = 16;  // the base is indexed by blocks of this many bytes
constexpr std::size_t largest = std::size_t{64} << 20U;
constexpr std::size_t tries = 8;          // blocks of one hash that are looked at
constexpr std::size_t insert_most = 127;  // bytes of one insertion
constexpr std::size_t copy_most = 0x10000;
constexpr std::size_t worth_copying = 8;  // a copy takes up to eight bytes to say
constexpr std::size_t near = 96;  // how far on the rows are looked at that a changed value leaves in step

std::size_t common_prefix(std::string_view a, std::string_view b) {
  const std::size_t size = std::min(a.size(), b.size());
  std::size_t at = 0;
  for (; at + 8 <= size; at += 8) {
    std::uint64_t x = 0;
    std::uint64_t y = 0;
    std::memcpy(&x, a.data() + at, 8);
    std::memcpy(&y, b.data() + at, 8);
    if (x == y) continue;
    if constexpr (std::endian::native == std::endian::little)
      return at + static_cast<std::size_t>(std::countr_zero(x ^ y)) / 8;
    break;
  }
  while (at < size && a[at] == b[at]) ++at;
  return at;
}

// Hash of a window of `block` bytes that can be moved on by one.
class Window {
 public:
  explicit Window(const char* bytes) {
    for (std::size_t i = 0; i < block; ++i) sum_ = sum_ * factor + byte(bytes[i]);
  }
  void move(char out, char in) { sum_ = (sum_ - byte(out) * out_factor) * factor + byte(in); }
  [[nodiscard]] std::size_t slot(unsigned bits) const { return (sum_ * 0x9E3779B1U) >> (32U - bits); }

 private:
  static constexpr std::uint32_t factor = 0x01000193U;
  static constexpr std::uint32_t out_factor =
      [] {  // of the byte that leaves: factor to the power of block - 1
        std::uint32_t value = 1;
        for (std::size_t i = 1; i < block; ++i) value *= factor;
        return value;
      }();
  static std::uint32_t byte(char c) { return static_cast<unsigned char>(c); }
  std::uint32_t sum_ = 0;
};

// Where in the base each block is, by its hash.
class Blocks {
 public:
  explicit Blocks(std::string_view base) : next_(base.size() / block, none) {
    while (bits_ < 24 && (std::size_t{1} << bits_) < next_.size()) ++bits_;
    first_.assign(std::size_t{1} << bits_, none);
    // From the end, so that of like blocks the first is looked at first.
    for (std::size_t i = next_.size(); i-- > 0;) {
      std::uint32_t& head = first_[Window(base.data() + i * block).slot(bits_)];
      next_[i] = head;
      head = static_cast<std::uint32_t>(i);
    }
  }
  // Calls visit(offset in the base) for a few blocks that may equal the window.
  template <typename Visit>
  void candidates(const Window& window, Visit visit) const {
    std::size_t left = tries;
    for (std::uint32_t i = first_[window.slot(bits_)]; i != none && left > 0; i = next_[i], --left)
      visit(std::size_t{i} * block);
  }

 private:
  static constexpr std::uint32_t none = UINT32_MAX;
  unsigned bits_ = 4;
  std::vector<std::uint32_t> first_;
  std::vector<std::uint32_t> next_;
};

void put_size(std::string& out, std::size_t size) {
  for (; size >= 0x80; size >>= 7U) out += static_cast<char>((size & 0x7FU) | 0x80U);
  out += static_cast<char>(size);
}

void put_insertion(std::string& out, std::string_view bytes) {
  for (; !bytes.empty(); bytes.remove_prefix(std::min(bytes.size(), insert_most))) {
    const std::string_view part = bytes.substr(0, insert_most);
    (out += static_cast<char>(part.size())) += part;
  }
}

void put_copy(std::string& out, std::size_t offset, std::size_t size) {
  while (size > 0) {
    const std::size_t part = std::min(size, copy_most);
    const std::size_t head = out.size();
    unsigned command = 0x80;
    out += '\0';
    for (unsigned i = 0; i < 4; ++i) {
      const auto byte = static_cast<unsigned char>(offset >> (8U * i));
      if (byte == 0) continue;
      command |= 1U << i;
      out += static_cast<char>(byte);
    }
    for (unsigned i = 0; part != copy_most && i < 2; ++i) {
      const auto byte = static_cast<unsigned char>(part >> (8U * i));
      if (byte == 0) continue;
      command |= 0x10U << i;
      out += static_cast<char>(byte);
    }
    out[head] = static_cast<char>(command);
    offset += part;
    size -= part;
  }
}

struct Match {
  std::size_t from = 0;  // in the base
  std::size_t at = 0;    // in the target
  std::size_t size = 0;
};

class Differ {
 public:
  Differ(std::string_view base, std::string_view target) : base_(base), target_(target) {}

  std::optional<std::string> delta(std::size_t limit) {
    std::string out;
    put_size(out, base_.size());
    put_size(out, target_.size());
    std::size_t done = 0;  // of the target
    for (Match match = in_step(0, 0); done < target_.size(); match = next(match.from + match.size, done)) {
      put_insertion(out, target_.substr(done, match.at - done));
      put_copy(out, match.from, match.size);
      done = match.at + match.size;
      if (out.size() > limit) break;
    }
    return out.size() > limit ? std::nullopt : std::optional(std::move(out));
  }

 private:
  [[nodiscard]] Match in_step(std::size_t from, std::size_t at) const {
    return {from, at, common_prefix(base_.substr(from), target_.substr(at))};
  }
  // The next bytes from `at` on that the base has too; empty, at the target's end, when it has none.
  Match next(std::size_t from, std::size_t at) {
    // Most changes are of a few bytes for as many: the base goes on in step just behind them.
    for (std::size_t i = 1; i <= near && from + i < base_.size() && at + i < target_.size(); ++i) {
      if (base_[from + i] != target_[at + i]) continue;
      const Match match = in_step(from + i, at + i);
      if (match.size >= block) return match;
      i += match.size;
    }
    return search(at);
  }
  Match search(std::size_t at) {
    const std::size_t begin = at;
    if (target_.size() - at < block) return {0, target_.size(), 0};
    if (!blocks_) blocks_.emplace(base_);
    for (Window window(target_.data() + at);; ++at) {
      Match best;
      blocks_->candidates(window, [&](std::size_t from) {
        const Match match = in_step(from, at);
        if (match.size > best.size) best = match;
      });
      if (best.size >= worth_copying) {
        while (best.from > 0 && best.at > begin && base_[best.from - 1] == target_[best.at - 1]) {
          --best.from;
          --best.at;
          ++best.size;
        }
        return best;
      }
      if (at + block >= target_.size()) return {0, target_.size(), 0};
      window.move(target_[at], target_[at + block]);
    }
  }

  std::string_view base_;
  std::string_view target_;
  std::optional<Blocks> blocks_;
};

}  // namespace

std::optional<std::string> make_delta(std::string_view base, std::string_view target, std::size_t limit) {
  if (base.size() > largest || target.size() > largest) return std::nullopt;
  return Differ(base, target).delta(limit);
}

}  // namespace keepway::store
