// The counter over a mill with two backups, and what its pages send.
#pragma once

#include <fmt/format.h>

#include <chrono>
#include <string>
#include <thread>

#include "live_fixture.hpp"

namespace scenario {

class Counter : public LiveTest {
 protected:
  [[nodiscard]] Args command() const override { return {"counter", "mill", "--json"}; }
  [[nodiscard]] Env environment() const override { return {{"TMPDIR", temporary().string()}}; }
  void SetUp() override {
    fs::create_directory(temporary());
    LiveTest::SetUp();
  }
  [[nodiscard]] std::string key() const { return address_.substr(address_.find("#key=") + 5); }
  [[nodiscard]] fs::path temporary() const { return root() / "temporary"; }
  [[nodiscard]] std::string origin() const { return "Origin: " + url_.substr(0, url_.size() - 1); }

  // As the door does; the cookie and the token are kept for post().
  std::string enter(const std::string& key) {
    const std::string status =
        curl({"-X", "POST", "-D", "head", "-H", origin(), "-H", "X-Keepway-Token: " + key}, "enter");
    if (status != "200") return status;
    const std::string head = read_file(root() / "head");
    const std::size_t at = head.find("Set-Cookie: ") + 12;
    set_cookie_ = head.substr(at, head.find('\r', at) - at);
    cookie_ = set_cookie_.substr(0, set_cookie_.find(';'));
    token_ = Json::parse(body_).at("token");
    return status;
  }
  void enter() { ASSERT_EQ(enter(key()), "200") << body_; }
  // With all that a page of the counter sends.
  [[nodiscard]] Args mine() const {
    return {"-H", origin(), "-H", "Cookie: " + cookie_, "-H", "X-Keepway-Token: " + token_};
  }
  std::string post(const std::string& path, const std::string& body, Args headers) {
    write_file(root() / "body", body);
    headers.insert(headers.end(), {"-X", "POST", "--data-binary", "@body", "-H", "Expect:"});
    return curl(headers, path);
  }
  // What the counter says at once; of what takes long: where to ask for it.
  Json ask(const std::string& name, Json words) {
    words.emplace("machine", "mill");
    EXPECT_EQ(post("act/" + name, words.dump(), mine()), "200") << body_;
    return Json::parse(body_, nullptr, false);
  }
  // What the act "work" says of it once it has ended.
  Json ended(const Json& where) {
    for (int i = 0; i < 1'200; ++i) {
      Json now = ask("work", where);
      if (now.contains("error") || !now.at("going").get<bool>()) return now;
      std::this_thread::sleep_for(std::chrono::milliseconds(25));
    }
    ADD_FAILURE() << "it does not end";
    return {};
  }
  // As its page does: the answer, waited for.
  Json act(const std::string& name, const Json& words) {
    Json said = ask(name, words);
    if (!said.contains("going") || !said.at("going").is_object()) return said;
    Json now = ended(said.at("going"));
    return now.contains("error") ? now : now.at("said");
  }
  [[nodiscard]] std::string children() const {
    return read_file(fmt::format("/proc/{0}/task/{0}/children", pid()));
  }
  // The process of a work that goes on; empty where there is none any more.
  [[nodiscard]] fs::path child() const {
    const std::string all = children();
    return all.empty() ? fs::path() : fs::path("/proc") / all.substr(0, all.find(' '));
  }
  // Gone, or the remains of one that its new parent has not waited for.
  static bool ends(const fs::path& process) {
    for (int i = 0; i < 400; ++i) {
      std::error_code ignored;
      if (fs::read_symlink(process / "exe", ignored).empty()) return true;
      std::this_thread::sleep_for(std::chrono::milliseconds(25));
    }
    return false;
  }
  using LiveTest::put;
  std::string drop(const std::string& folder) { return act("begin", {{"folder", folder}}).at("drop"); }
  Json put(const std::string& drop, const std::string& name, const std::string& bytes, std::size_t at = 0) {
    std::string escaped;
    for (const char c : name) escaped += fmt::format("%{:02x}", static_cast<unsigned char>(c));
    EXPECT_EQ(
        post(fmt::format("put?drop={}&name={}&at={}&time=1770000000", drop, escaped, at), bytes, mine()),
        "200")
        << body_;
    return Json::parse(body_, nullptr, false);
  }
  std::string drop_all(const Tree& files) {
    const std::string id = drop("MILL1");
    for (const auto& [name, bytes] : files) EXPECT_EQ(put(id, name, bytes).at("exit"), 0) << name;
    return id;
  }
  static Tree third() { return with(mill_files(), "mill.tbl", "4.25", "4.375"); }
  int backups() { return static_cast<int>(json({"history", "mill"}, 0).at("backups").size()); }

  std::string set_cookie_;
  std::string cookie_;
  std::string token_;
};

}  // namespace scenario
