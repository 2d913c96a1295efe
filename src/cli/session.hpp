// Who may use the counter: the one browser that opened the address which the command printed.
#pragma once

#include <optional>
#include <string>

#include "cli/http.hpp"

namespace keepway::cli {

// Motivation: other people's pages in the same browser, and other programs on the same computer, can reach
// 127.0.0.1 too. The key in the address is good for one entry. What it is given for is two secrets: a cookie,
// which no page can read and no other site's page sends, and a token, which only pages of this address can
// read. Cookies are shared between all ports of an address, so the cookie alone permits nothing.
class Session {
 public:
  Session();

  [[nodiscard]] const std::string& key() const { return key_; }
  // Entering: the header for the cookie, once; nullopt for a wrong key, and ever after.
  std::optional<std::string> enter(const Request& request, int port);
  [[nodiscard]] const std::string& token() const { return token_; }
  // Whether it is from the browser that entered.
  [[nodiscard]] bool may_read(const Request& request, int port) const;
  // And from a page of this counter.
  [[nodiscard]] bool may_act(const Request& request, int port) const;

 private:
  std::string key_;
  std::string cookie_;
  std::string token_;
  bool entered_ = false;
};

}  // namespace keepway::cli
