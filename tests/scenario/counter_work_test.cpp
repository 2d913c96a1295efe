// Long works at the counter: done while pages are answered, stopped, and gone with the counter.
#include <arpa/inet.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <signal.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <thread>

#include "counter_fixture.hpp"

namespace scenario {
namespace {

class CounterWork : public Counter {
 protected:
  void SetUp() override {
    Counter::SetUp();
    enter();
  }
  void TearDown() override {
    if (silent_ >= 0) ::close(silent_);
    Counter::TearDown();
  }
  // Waits for its end.
  Json work() {
    for (int i = 0; i < 400; ++i) {
      Json now = act("work", {});
      if (!now.at("going").get<bool>()) return now;
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
    }
    ADD_FAILURE() << "it does not end";
    return {};
  }
  // A remote that takes connections and never says a word.
  void share_with_silence() {
    silent_ = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in at{};
    at.sin_family = AF_INET;
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof at;
    ASSERT_EQ(::bind(silent_, reinterpret_cast<sockaddr*>(&at), size), 0);
    ASSERT_EQ(::listen(silent_, 8), 0);
    ASSERT_EQ(::getsockname(silent_, reinterpret_cast<sockaddr*>(&at), &size), 0);
    const std::string url = fmt::format("http://127.0.0.1:{}/mill.git", ntohs(at.sin_port));
    ASSERT_EQ(git(repository("mill"), {"remote", "add", "origin", url}).exit, 0);
  }
  [[nodiscard]] std::string children() const {
    return read_file(fmt::format("/proc/{0}/task/{0}/children", pid()));
  }

  int silent_ = -1;
};

TEST_F(CounterWork, AnAuditAnswersAsItsCommand) {
  EXPECT_EQ(act("work", {}).at("what"), "");
  EXPECT_EQ(act("audit", {}).at("exit"), 0);
  const Json whole = work();
  EXPECT_EQ(whole.at("what"), "audit mill");
  const Ran command = kw({"audit", "mill"});
  EXPECT_EQ(whole.at("said").at("text"), command.out);
  EXPECT_EQ(whole.at("said").at("exit"), command.exit);
  EXPECT_EQ(act("work", {}).at("said"), whole.at("said")) << "for whoever looks next";
  // Damage is said in the command's words too, even where the machine cannot be opened any more.
  write_file(repository("mill") / ".git" / "config", "nothing that Git reads");
  EXPECT_EQ(act("audit", {}).at("exit"), 0);
  const Json damaged = work().at("said");
  const Ran printed = kw({"audit", "mill"});
  EXPECT_EQ(damaged.at("exit"), printed.exit);
  EXPECT_NE(printed.exit, 0);
  const std::string text = damaged.contains("error") ? damaged.at("error").at("what") : damaged.at("text");
  EXPECT_NE((printed.out + printed.err).find(text), std::string::npos) << text << printed.out << printed.err;
  ASSERT_EQ(run("git", {"init", "-q", "spare"}, root()).exit, 0);
  write_file(repository("mill") / ".git" / "config", read_file(root() / "spare" / ".git" / "config"));
}

TEST_F(CounterWork, ASyncAnswersAsItsCommand) {
  EXPECT_EQ(act("sync", {}).at("exit"), 0);
  const Json none = work().at("said");
  const Ran printed = kw({"sync", "mill"});
  EXPECT_EQ(none.at("exit"), printed.exit);
  EXPECT_NE(printed.err.find(none.at("error").at("what").get<std::string>()), std::string::npos) << none;
  ASSERT_EQ(run("git", {"init", "-q", "--bare", "remote.git"}, root()).exit, 0);
  ASSERT_EQ(kw({"sync", "mill", "--to", (root() / "remote.git").string()}).exit, 0);
  intake("mill", third(), 0);
  EXPECT_EQ(act("sync", {}).at("exit"), 0);
  const Json sent = work().at("said");
  EXPECT_EQ(sent.at("answer").at("machines").at(0).at("sent"), 1) << sent;
  EXPECT_EQ(git(root() / "remote.git", {"rev-parse", "main"}).out,
            git(repository("mill"), {"rev-parse", "main"}).out);
  EXPECT_EQ(act("sync", {}).at("exit"), 0);
  EXPECT_EQ(work().at("said").at("text"), kw({"sync", "mill"}).out) << "both sides are the same";
}

TEST_F(CounterWork, PagesAreAnsweredMeanwhileAndItCanBeStopped) {
  share_with_silence();
  EXPECT_EQ(act("sync", {}).at("exit"), 0);
  EXPECT_EQ(act("work", {}).at("going"), true);
  EXPECT_EQ(curl({"-H", "Cookie: " + cookie_}), "200");
  EXPECT_EQ(act("mark", {{"name", "known good"}, {"at", "#1"}}).at("exit"), 0);
  const Json second = act("audit", {});
  EXPECT_EQ(second.at("exit"), 5) << second;
  EXPECT_NE(second.at("error").at("what").get<std::string>().find("sync mill is still going on"),
            std::string::npos);
  EXPECT_EQ(act("stop", {}).at("exit"), 0);
  const Json stopped = act("work", {});
  EXPECT_EQ(stopped.at("going"), false);
  EXPECT_TRUE(stopped.at("said").is_null());
  EXPECT_EQ(act("audit", {}).at("exit"), 0);
  EXPECT_EQ(work().at("said").at("exit"), kw({"audit", "mill"}).exit);
}

TEST_F(CounterWork, EndsWithTheCounterHoweverThatEnds) {
  share_with_silence();
  for (const int signal : {SIGINT, SIGTERM, SIGKILL}) {
    EXPECT_EQ(act("sync", {}).at("exit"), 0);
    const std::string child = children();
    ASSERT_FALSE(child.empty());
    const fs::path process = "/proc/" + child.substr(0, child.find(' '));
    ASSERT_TRUE(fs::exists(process));
    const std::string port_was = port();
    stop(signal);
    // Gone, or the remains of one that its new parent has not waited for.
    const auto is_gone = [&] {
      std::error_code ignored;
      const fs::path exe = fs::read_symlink(process / "exe", ignored);
      return exe.empty();
    };
    for (int i = 0; i < 100 && !is_gone(); ++i) std::this_thread::sleep_for(std::chrono::milliseconds(50));
    EXPECT_TRUE(is_gone()) << signal;
    const Started again =
        start(KEEPWAY_PROGRAM, {"counter", "mill", "--json", "--port", port_was}, shop(), environment());
    std::this_thread::sleep_for(std::chrono::milliseconds(300));
    EXPECT_EQ(::kill(again.pid, 0), 0) << "the port is free";
    ::kill(again.pid, SIGTERM);
    EXPECT_EQ(wait_for(again).err, "");
    serve();
    enter();
  }
}

}  // namespace
}  // namespace scenario
