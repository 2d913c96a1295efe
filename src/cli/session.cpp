#include "cli/session.hpp"

#include <fmt/format.h>
#include <sys/random.h>

#include <array>
#include <string_view>

#include "keepway/error.hpp"

namespace keepway::cli {
namespace {

constexpr std::string_view token_header = "X-Keepway-Token";

std::string secret() {
  std::array<unsigned char, 32> bytes{};
  if (::getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size()))
    throw Error(ErrorKind::store, "this computer gives no random numbers", "start it again");
  std::string text;
  for (const unsigned char byte : bytes) text += fmt::format("{:02x}", byte);
  return text;
}

// In a time that does not tell how much of it is right.
bool is_same(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  unsigned differs = 0;
  for (std::size_t i = 0; i < a.size(); ++i)
    differs |= static_cast<unsigned>(static_cast<unsigned char>(a[i]) ^ static_cast<unsigned char>(b[i]));
  return differs == 0;
}

// By its port: the cookies of all ports of an address come together.
std::string cookie_name(int port) {
  return fmt::format("keepway-{}", port);
}

}  // namespace

Session::Session() : key_(secret()), cookie_(secret()), token_(secret()) {}

std::optional<std::string> Session::enter(const Request& request, int port) {
  const auto given = request.header(token_header);
  if (entered_ || given.size() != 1 || !is_same(given[0], key_)) return std::nullopt;
  entered_ = true;
  return fmt::format("{}={}; Path=/; HttpOnly; SameSite=Strict", cookie_name(port), cookie_);
}

bool Session::may_read(const Request& request, int port) const {
  if (!entered_) return false;
  const std::string name = cookie_name(port) + "=";
  for (const std::string& cookies : request.header("Cookie")) {
    std::string_view rest = cookies;
    while (!rest.empty()) {
      const std::size_t end = std::min(rest.find(';'), rest.size());
      std::string_view each = rest.substr(0, end);
      rest.remove_prefix(std::min(end + 1, rest.size()));
      while (each.starts_with(' ')) each.remove_prefix(1);
      if (each.starts_with(name) && is_same(each.substr(name.size()), cookie_)) return true;
    }
  }
  return false;
}

bool Session::may_act(const Request& request, int port) const {
  const auto given = request.header(token_header);
  return may_read(request, port) && given.size() == 1 && is_same(given[0], token_);
}

}  // namespace keepway::cli
