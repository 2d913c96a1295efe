#include "live_fixture.hpp"

#include <signal.h>

#include <chrono>
#include <thread>
#include <utility>

namespace scenario {

void LiveTest::SetUp() {
  ShopTest::SetUp();
  enroll_mill();
  intake("mill", mill_files(), 0);
  intake("mill", with(mill_files(), "mill.tbl", "5.1", "5.2"), 0);
  serve();
}

void LiveTest::serve() {
  started_ = start_one();
  ASSERT_FALSE(address_.empty()) << read_file(started_.err);
}

Started LiveTest::start_one() {
  address_.clear();
  Started one = start(KEEPWAY_PROGRAM, command(), shop(), environment());
  for (int i = 0; i < 200 && address_.empty(); ++i) {
    const std::string out = fs::exists(one.out) ? read_file(one.out) : "";
    const std::size_t at = out.find("http://127.0.0.1:");
    if (at != std::string::npos && out.find('"', at) != std::string::npos)
      address_ = out.substr(at, out.find('"', at) - at);
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  url_ = address_.substr(0, address_.find('#'));
  return one;
}

void LiveTest::TearDown() {
  stop(SIGTERM);
  ShopTest::TearDown();
}

int LiveTest::stop(int signal) {
  if (started_.pid < 0) return -1;
  ::kill(started_.pid, signal);
  const int exit = wait_for(started_).exit;
  started_.pid = -1;
  return exit;
}

std::string LiveTest::curl(Args args, const std::string& path) {
  args.insert(args.begin(), {"-s", "-m", "60", "--path-as-is", "-w", "\n%{http_code}"});
  args.push_back(url_ + path);
  const Ran ran = run("curl", args, root());
  const std::size_t line = ran.out.rfind('\n');
  body_ = ran.out.substr(0, line);
  return ran.out.substr(line + 1);
}

}  // namespace scenario
