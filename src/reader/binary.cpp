#include "reader/binary.hpp"

#include <cstddef>

namespace keepway::reader {
namespace {

struct Share {
  std::size_t odd = 0;  // control bytes that part no text
  std::size_t visible = 0;
  // Bytes of text for each that is none.
  [[nodiscard]] bool is_text() const {
    constexpr std::size_t most = 20;
    return visible > odd * most;
  }
};

Share share_of(std::string_view cleaned) {
  Share share;
  for (const char c : cleaned) {
    const auto byte = static_cast<unsigned char>(c);
    share.visible += byte > ' ' && byte != 0x7f ? 1U : 0U;
    share.odd += byte < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' ? 1U : 0U;
  }
  return share;
}

}  // namespace

bool is_text(std::string_view cleaned) {
  return share_of(cleaned).is_text();
}

bool is_binary(std::string_view cleaned) {
  constexpr std::size_t least = 64;
  const Share share = share_of(cleaned);
  return share.odd >= least && !share.is_text();
}

}  // namespace keepway::reader
