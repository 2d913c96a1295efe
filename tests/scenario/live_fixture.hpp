// A mill with two backups, and a live server over it: view or counter.
#pragma once

#include <string>

#include "shop_fixture.hpp"

namespace scenario {

class LiveTest : public ShopTest {
 protected:
  // Its words, with --json.
  [[nodiscard]] virtual Args command() const = 0;
  [[nodiscard]] virtual Env environment() const { return {}; }
  void SetUp() override;
  void TearDown() override;

  void serve();  // as SetUp() does, again after stop()
  // Another one; its address is put where serve() puts it. Whoever asks for it ends it.
  Started start_one();
  // Status code; the body is in body_.
  std::string curl(Args args, const std::string& path = "");
  [[nodiscard]] std::string port() const { return url_.substr(17, url_.size() - 18); }
  [[nodiscard]] int pid() const { return started_.pid; }
  // Ends it as Ctrl-C does, and gives its exit code; 128 + `signal` where that ended it.
  int stop(int signal);

  std::string address_;  // as printed
  std::string url_;      // http://127.0.0.1:PORT/
  std::string body_;

 private:
  Started started_;
};

}  // namespace scenario
