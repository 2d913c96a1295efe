#include "base/encoding.hpp"

#include <iconv.h>

#include <algorithm>
#include <array>
#include <cerrno>

namespace keepway {
namespace {

void* opened(const char* to, const char* from) {
  iconv_t made = iconv_open(to, from);
  return made == reinterpret_cast<iconv_t>(-1) ? nullptr : made;  // NOLINT(*-reinterpret-cast,*-int-to-ptr)
}

// `skip`: bytes that cannot be converted are copied; else they end it, and nullopt comes back.
std::optional<std::string> convert(void* with, std::string_view text, bool skip) {
  std::string out;
  std::string in(text);  // iconv takes bytes that are not const
  iconv(with, nullptr, nullptr, nullptr, nullptr);
  char* at = in.data();
  std::size_t left = in.size();
  std::array<char, 256> room{};
  while (left > 0) {
    char* to = room.data();
    std::size_t space = room.size();
    const std::size_t done = iconv(with, &at, &left, &to, &space);
    out.append(room.data(), room.size() - space);
    if (done != static_cast<std::size_t>(-1)) continue;
    if (errno == E2BIG) continue;
    if (!skip) return std::nullopt;
    out += *at++;
    --left;
  }
  return out;
}

}  // namespace

bool is_ascii(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; });
}

bool is_encoding(const std::string& name) {
  constexpr std::string_view unvaried =
      " !\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz";
  if (name.empty() || name.find('/') != std::string::npos || !is_ascii(name)) return false;
  void* with = opened("UTF-8", name.c_str());
  if (with == nullptr) return false;
  const bool same = convert(with, unvaried, false) == unvaried;
  iconv_close(with);
  return same;
}

Encoding::Encoding(const std::string& name) {
  if (name.empty()) return;
  to_ = opened("UTF-8", name.c_str());
  from_ = opened(name.c_str(), "UTF-8");
}

Encoding::~Encoding() {
  if (to_ != nullptr) iconv_close(to_);
  if (from_ != nullptr) iconv_close(from_);
}

std::string Encoding::to_utf8(std::string_view bytes) const {
  if (to_ == nullptr || is_ascii(bytes)) return std::string(bytes);
  return convert(to_, bytes, true).value_or(std::string(bytes));
}

std::optional<std::string> Encoding::from_utf8(std::string_view text) const {
  if (from_ == nullptr || is_ascii(text)) return std::string(text);
  return convert(from_, text, false);
}

std::string as_received(const std::string& name, const std::string& utf8) {
  return is_ascii(utf8) ? utf8 : Encoding(name).from_utf8(utf8).value_or(utf8);
}

}  // namespace keepway
