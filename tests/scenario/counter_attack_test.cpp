// What whoever means harm gets from the counter. The tries are listed in tests/README.md.
#include <arpa/inet.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <thread>
#include <utility>

#include "counter_fixture.hpp"

namespace scenario {
namespace {

class CounterAttack : public Counter {
 protected:
  void SetUp() override {
    Counter::SetUp();
    before_ = refs(repository("mill"));
  }
  void TearDown() override {
    EXPECT_EQ(refs(repository("mill")), before_) << "something was stored";
    Counter::TearDown();
  }
  const std::string marking_ = Json{{"machine", "mill"}, {"name", "evil"}, {"at", "#1"}}.dump();
  // A connection of its own to the server.
  [[nodiscard]] int connected() const {
    const int socket = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in to{};
    to.sin_family = AF_INET;
    to.sin_port = htons(static_cast<std::uint16_t>(std::stoi(port())));
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    EXPECT_EQ(::connect(socket, reinterpret_cast<sockaddr*>(&to), sizeof to), 0);
    return socket;
  }
  std::string before_;
};

TEST_F(CounterAttack, AnotherOriginDoesNothing) {
  enter();
  for (const std::string& from :
       Args{"http://evil.example", "null", "https://127.0.0.1:" + port(), "http://127.0.0.1",
            "http://127.0.0.1:" + port() + ".evil.example", ""}) {
    Args headers = mine();
    headers[1] = from.empty() ? "Origin;" : "Origin: " + from;
    EXPECT_EQ(post("act/mark", marking_, headers), "403") << from;
  }
  Args none = mine();
  none.erase(none.begin(), none.begin() + 2);
  EXPECT_EQ(post("act/mark", marking_, none), "403") << "without one";
  EXPECT_EQ(post("enter", "", {"-H", "Origin: http://evil.example", "-H", "X-Keepway-Token: " + key()}),
            "403");
  // Asked beforehand, as a browser does for other sites: no word of leave.
  EXPECT_EQ(curl({"-X", "OPTIONS", "-D", "head", "-H", "Origin: http://evil.example", "-H",
                  "Access-Control-Request-Method: POST"},
                 "act/mark"),
            "403");
  EXPECT_EQ(read_file(root() / "head").find("Access-Control"), std::string::npos);
}

TEST_F(CounterAttack, WithoutTokenAndCookieNothingIsDone) {
  const Args nobody = {"-H", origin()};
  EXPECT_EQ(post("act/mark", marking_, nobody), "403") << "before anybody entered";
  EXPECT_EQ(post("act/mark", marking_,
                 {"-H", origin(), "-H", "Cookie: keepway-" + port() + "=", "-H", "X-Keepway-Token;"}),
            "403");
  enter();
  const std::string cookie = "Cookie: " + cookie_;
  const std::string token = "X-Keepway-Token: " + token_;
  for (const Args& more : std::vector<Args>{
           {},
           {"-H", cookie},
           {"-H", token},
           {"-H", cookie, "-H", "X-Keepway-Token: " + key()},
           {"-H", cookie, "-H", "X-Keepway-Token: " + token_.substr(1)},
           {"-H", cookie, "-H", token, "-H", "X-Keepway-Token: x"},
           {"-H", "Cookie: keepway-1=" + cookie_.substr(cookie_.find('=') + 1), "-H", token},
           {"-H", "Cookie: " + cookie_.substr(0, cookie_.size() - 1), "-H", token},
       }) {
    Args headers = nobody;
    headers.insert(headers.end(), more.begin(), more.end());
    for (const std::string& path : Args{"act/mark", "put?drop=1&name=a&at=0", "made"})
      EXPECT_EQ(post(path, marking_, headers), "403") << testing::PrintToString(more);
  }
  for (const std::string& path : Args{"data/machine.js", "data/backups-0.js", "data/now.json", "nothing"})
    EXPECT_EQ(curl({}, path), "403") << path;
  EXPECT_EQ(curl({}), "200");
  EXPECT_EQ(body_.find("Knee mill"), std::string::npos) << "the door tells nothing of the shop";
  EXPECT_NE(body_.find("door.js"), std::string::npos);
  EXPECT_EQ(curl({"-H", cookie}), "200");
  EXPECT_NE(body_.find("counter.js"), std::string::npos);
}

TEST_F(CounterAttack, TheAddressIsGoodForOneEntry) {
  EXPECT_EQ(enter(std::string(64, '0')), "403");
  EXPECT_EQ(enter(""), "403");
  EXPECT_EQ(enter(key().substr(0, 63)), "403");
  EXPECT_EQ(curl({"-H", "X-Keepway-Token: " + key()}, "enter"), "403") << "by a GET";
  enter();
  EXPECT_NE(set_cookie_.find("HttpOnly"), std::string::npos) << set_cookie_;
  EXPECT_NE(set_cookie_.find("SameSite=Strict"), std::string::npos) << set_cookie_;
  const std::string kept = token_;
  EXPECT_EQ(enter(key()), "403");
  EXPECT_NE(body_.find("opened before"), std::string::npos) << body_;
  EXPECT_EQ(token_, kept);
}

TEST_F(CounterAttack, AForeignHostGetsNothing) {
  enter();
  for (const std::string& host : Args{"evil.example", "evil.example:" + port(), "127.0.0.1",
                                      "127.0.0.1.evil.example:" + port(), "[::1]:" + port(), ""}) {
    const std::string header = host.empty() ? "Host;" : "Host: " + host;
    Args headers = mine();
    headers.insert(headers.end(), {"-H", header});
    EXPECT_EQ(post("act/mark", marking_, headers), "403") << host;
    EXPECT_EQ(curl({"-H", header, "-H", "Cookie: " + cookie_}), "403") << host;
  }
}

TEST_F(CounterAttack, NothingIsDoneByAGet) {
  enter();
  Args headers = mine();
  for (const std::string& name :
       Args{"begin",      "leave",      "inspect",     "intake",        "mark",        "withdraw",
            "correct",    "reasons",    "battery",     "plan",          "restore",     "confirm",
            "names",      "trials",     "trial-begin", "trial-changes", "trial-pause", "trial-resume",
            "trial-keep", "trial-drop", "audit",       "sync",          "work",        "stop",
            "slots",      "propose",    "enroll",      "sticks",        "stick"}) {
    EXPECT_EQ(
        curl(headers, "act/" + name + "?machine=mill&name=evil&at=%231&backup=1&why=x&address=variables/1"),
        "404")
        << name;
  }
  for (const std::string& path : Args{"enter", "put?drop=1&name=a&at=0", "made"})
    EXPECT_EQ(curl(headers, path), "404") << path;
  for (const std::string& method : Args{"PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"}) {
    Args other = headers;
    other.insert(other.end(), {"-X", method});
    EXPECT_EQ(curl(other, "act/mark"), "405") << method;
  }
  EXPECT_EQ(post("act/none", "{}", mine()), "404");
}

TEST_F(CounterAttack, NamesCannotLeaveTheirFolder) {
  enter();
  const std::string id = drop("MILL1");
  const std::string deep = [] {
    std::string name;
    for (int i = 0; i < 70; ++i) name += "d/";
    return name + "f";
  }();
  for (const std::string& name :
       Args{"../evil", "a/../../evil", "/evil", "..", ".", "", "a//b", "a/./b", std::string("evil\0.txt", 9),
            "../", "a/../", std::string(300, 'x'), std::string(5000, 'x'), deep}) {
    const Json said = put(id, name, "evil");
    EXPECT_TRUE(said.contains("error")) << name;
  }
  std::string shown;
  for (int i = 0; i < 100; ++i) shown += "d/";
  EXPECT_NE(put(id, shown + shown + 'f', "evil").dump().find('"' + shown + " lies too deep"),
            std::string::npos);
  EXPECT_EQ(put(id, "a", "one").at("exit"), 0);
  EXPECT_TRUE(put(id, "a", "two").contains("error")) << "twice";
  EXPECT_TRUE(put(id, "a", "x", 7).contains("error")) << "beyond its end";
  EXPECT_TRUE(put(id, "b", "x", 1).contains("error")) << "not begun";
  EXPECT_TRUE(put(id, "a/b", "x").contains("error")) << "below a file";
  EXPECT_TRUE(put("../1", "b", "x").contains("error")) << "another folder's";
  for (const std::string& folder : Args{"..", "../evil", "/evil", "a/b"})
    EXPECT_TRUE(act("begin", {{"folder", folder}}).contains("error")) << folder;
  for (const auto& each : fs::recursive_directory_iterator(root())) {
    EXPECT_EQ(each.path().filename().string().find("evil"), std::string::npos) << each.path();
  }
}

TEST_F(CounterAttack, ALargeBodyIsRefused) {
  enter();
  Args headers = mine();
  const auto refused = [&](const std::string& status) { return status == "400" || status == "413"; };
  EXPECT_TRUE(refused(post("act/mark", std::string(400'000, 'x'), headers)));
  EXPECT_EQ(post("act/mark", "{\"name\":\"" + std::string(100'000, 'x') + "\"}", headers), "200");
  EXPECT_NE(body_.find("error"), std::string::npos) << body_;
  EXPECT_EQ(post("act/mark", std::string(60'000, '['), headers), "200");
  EXPECT_NE(body_.find("error"), std::string::npos) << body_;
  headers.insert(headers.end(), {"-H", "Transfer-Encoding: chunked"});
  EXPECT_TRUE(refused(post("act/mark", std::string(400'000, 'x'), headers)));
  EXPECT_EQ(curl({"-H", "X-Long: " + std::string(20'000, 'x')}), "400");
  EXPECT_EQ(curl({"-H", "Cookie: " + cookie_}), "200") << "it still answers";
}

TEST_F(CounterAttack, AnArchiveThatUnpacksWithoutEndIsRefused) {
  enter();
  const fs::path large = root() / "large";
  write_file(large, "");
  fs::resize_file(large, 600ULL << 20U);
  ASSERT_EQ(run("tar", {"czf", "bomb.tgz", "large"}, root()).exit, 0);
  fs::remove(large);
  const std::string bytes = read_file(root() / "bomb.tgz");
  const std::string id = drop("");
  constexpr std::size_t piece = 256 << 10;
  for (std::size_t at = 0; at < bytes.size(); at += piece)
    EXPECT_EQ(put(id, "bomb.tgz", bytes.substr(at, piece), at).at("exit"), 0);
  EXPECT_EQ(act("inspect", {{"drop", id}}).at("exit"), 3);
  EXPECT_TRUE(act("intake", {{"drop", id}, {"accept", true}}).contains("error"));
}

TEST_F(CounterAttack, WhatIsNoItemNorNameDoesNothing) {
  enter();
  const std::string book = read_file(repository("mill") / "namebook.tsv");
  const auto fails = [&](const std::string& name, const Json& words) {
    const Json said = act(name, words);
    EXPECT_TRUE(said.contains("error")) << name << words << said;
  };
  for (const std::string& name : Args{"../evil", "a/b", "..", ".git", "-x", "a b", "refs/heads/main", "@{1}",
                                      std::string(5000, 'x'), "<img src=x>"})
    fails("trial-begin", {{"name", name}});
  for (const std::string& address : Args{"../../etc/passwd", "/", "evil", "", std::string(5000, 'x')})
    fails("names", {{"address", address}, {"name", "evil"}});
  for (const char* cell : {"a\tvariables/1\tb", "a\nvariables/1\tb", "a\x1b[2J"})
    fails("names", {{"address", "parameters/5161"}, {"name", cell}});
  fails("names", {{"address", "parameters/5161"}, {"name", 7}});
  for (const Json& only : std::vector<Json>{"offsets", 7, Json::object(), {{"a"}}, {nullptr}, {"\x01"}}) {
    fails("plan", {{"at", "#1"}, {"only", only}});
    fails("trial-keep", {{"name", "x"}, {"only", only}});
  }
  fails("plan", {{"at", "#1"}, {"only", Args(7'000, "offsets")}});
  fails("confirm", {{"drop", "../1"}, {"against", "#1"}, {"store", true}});
  for (const std::string& name : Args{"audit", "sync"}) {
    for (const std::string& machine : Args{"none", "../mill", "", "mill/.git", "/"})
      fails(name, {{"machine", machine}});
  }
  EXPECT_EQ(read_file(repository("mill") / "namebook.tsv"), book);
}

TEST_F(CounterAttack, ASlowBodyIsCutOff) {
  const int slow = connected();
  const int silent = connected();
  const std::string head =
      fmt::format("POST /act/mark HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nContent-Length: 4000\r\n\r\n", port());
  ASSERT_EQ(::send(slow, head.data(), head.size(), 0), static_cast<ssize_t>(head.size()));
  // A byte a second is never silence.
  const auto is_open = [](int socket) {
    char byte = 0;
    return ::recv(socket, &byte, 1, MSG_DONTWAIT) < 0 && (errno == EAGAIN || errno == EWOULDBLOCK);
  };
  int sent = 0;
  while (sent < 120 && is_open(slow) && ::send(slow, "x", 1, MSG_NOSIGNAL) == 1) {
    ++sent;
    std::this_thread::sleep_for(std::chrono::seconds(1));
  }
  EXPECT_LT(sent, 120);
  EXPECT_FALSE(is_open(silent));
  ::close(slow);
  ::close(silent);
}

TEST_F(CounterAttack, FiveHundredConnectionsKeepNobodyOut) {
  enter();
  std::vector<int> sockets;
  for (int i = 0; i < 500; ++i) {
    sockets.push_back(connected());
    if (i % 2 == 0) (void)::send(sockets.back(), "POST ", 5, MSG_NOSIGNAL);
  }
  EXPECT_EQ(curl({"-H", "Cookie: " + cookie_}), "200");
  EXPECT_EQ(act("reasons", {}).at("exit"), 0);
  const fs::path open = fmt::format("/proc/{}/fd", pid());
  const auto count = std::distance(fs::directory_iterator(open), fs::directory_iterator());
  EXPECT_LT(count, 300) << "of 500 that connected";
  for (const int socket : sockets) ::close(socket);
}

class CounterMarkup : public Counter {};

TEST_F(CounterMarkup, IsTextInEveryField) {
  enter();
  const std::string evil = "<img src=x onerror=alert(1)></script><script>alert(2)</script>&\"'";
  const std::string id = drop("<b>MILL1");
  for (const auto& [name, bytes] : third()) EXPECT_EQ(put(id, name, bytes).at("exit"), 0);
  EXPECT_EQ(put(id, "<img src=x onerror=alert(3)>", evil).at("exit"), 0);
  act("inspect", {{"drop", id}});
  EXPECT_EQ(act("intake", {{"drop", id}, {"by", evil}, {"note", evil}, {"accept", true}}).at("stored"), true);
  act("mark", {{"name", "<img src=x>"}, {"at", "#3"}});
  EXPECT_EQ(act("correct", {{"backup", "2"}, {"note", evil}, {"taken_by", evil}}).at("exit"), 0);
  EXPECT_EQ(act("withdraw", {{"backup", "1"}, {"why", evil}, {"by", evil}}).at("exit"), 0);
  for (const std::string& path : Args{"", "data/machine.js", "data/glance.js", "data/backups-0.js"}) {
    EXPECT_EQ(curl({"-D", "head", "-H", "Cookie: " + cookie_}, path), "200");
    EXPECT_EQ(body_.find("<img"), std::string::npos) << path;
    EXPECT_EQ(body_.find("<script>alert"), std::string::npos) << path;
    const std::string head = read_file(root() / "head");
    EXPECT_NE(head.find("nosniff"), std::string::npos);
    EXPECT_NE(head.find("Content-Security-Policy: default-src 'none'; script-src 'self'"), std::string::npos);
  }
  // What no browser's field gives, and a commit's header must not hold.
  for (const char* control : {"a\nb\x01", "\x1b[2J", "a\x7f"})
    EXPECT_EQ(act("withdraw", {{"backup", "2"}, {"why", control}}).at("exit"), 2);
  EXPECT_EQ(act("withdraw", {{"backup", "2"}, {"why", std::string("a\0b", 3)}}).at("exit"), 2);
  EXPECT_EQ(act("withdraw", {{"backup", "2"}, {"why", 7}}).at("exit"), 2);
}

}  // namespace
}  // namespace scenario
