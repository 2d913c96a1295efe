// report, sheet and view as programs: what they write, what they refuse, and who may reach a view.
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "live_fixture.hpp"

namespace scenario {
namespace {

class Pages : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
    intake("mill", mill_files(), 0);
    intake("mill", with(mill_files(), "mill.tbl", "5.1", "5.2"), 0);
  }
};

TEST_F(Pages, AReportIsPlainFilesWithoutTheNetwork) {
  const Json answer = json({"report", "mill", "--to", (root() / "site").string()}, 0);
  const Tree site = read_tree(root() / "site");
  EXPECT_EQ(answer.at("files"), site.size());
  EXPECT_TRUE(answer.at("bytes").is_number());
  EXPECT_EQ(site.count("index.html"), 1U);
  EXPECT_EQ(site.count("assets/uplot-license.txt"), 1U);
  EXPECT_NE(site.at("assets/uplot-license.txt").find("MIT License"), std::string::npos);
  EXPECT_EQ(site.at("index.html").find("http"), site.at("index.html").find("http-equiv"));
  EXPECT_NE(site.at("data/backups-0.js").find("offsets/tool/1/length"), std::string::npos);
}

TEST_F(Pages, AReportOfTheSameHistoryIsTheSame) {
  ASSERT_EQ(kw({"report", "mill", "--to", (root() / "one").string()}).exit, 0);
  ASSERT_EQ(kw({"report", "mill", "--to", (root() / "two").string()}).exit, 0);
  Tree one = read_tree(root() / "one");
  Tree two = read_tree(root() / "two");
  one.erase("data/machine.js");  // says when it was made
  two.erase("data/machine.js");
  EXPECT_EQ(one, two);
}

TEST_F(Pages, AReportWritesIntoNoFolderThatHoldsOtherThings) {
  const fs::path folder = root() / "mine";
  write_tree(folder, {{"letter.txt", "mine"}});
  const Ran refused = kw({"report", "mill", "--to", folder.string()});
  EXPECT_EQ(refused.exit, 5);
  EXPECT_EQ(kw({"report", "mill", "--to", folder.string(), "--replace"}).exit, 5);
  EXPECT_EQ(read_tree(folder), (Tree{{"letter.txt", "mine"}}));
  const std::string site = (root() / "site").string();
  EXPECT_EQ(kw({"report", "--all", "--to", site}).exit, 0);
  EXPECT_EQ(kw({"report", "--all", "--to", site}).exit, 5);
  EXPECT_EQ(kw({"report", "--all", "--to", site, "--replace"}).exit, 0);
  EXPECT_EQ(read_tree(site).count("machines/mill/index.html"), 1U);
}

TEST_F(Pages, AReportThatCannotBeWrittenLeavesNothingInTheWayOfTheNext) {
  const fs::path site = root() / "site";
  const auto limited = [&](std::uint64_t bytes, Args args) {
    args.insert(args.begin(), {"report", "mill", "--to", site.string()});
    return wait_for(start(KEEPWAY_PROGRAM, args, shop(), {}, {bytes, {}})).exit;
  };
  EXPECT_EQ(limited(1000, {}), 4);
  EXPECT_FALSE(fs::exists(site));
  fs::create_directory(site);
  EXPECT_EQ(limited(1000, {}), 4);
  EXPECT_TRUE(fs::is_empty(site)) << "a folder that was there stays";
  ASSERT_EQ(kw({"report", "mill", "--to", site.string()}).exit, 0);
  const Tree whole = read_tree(site);
  EXPECT_EQ(limited(1000, {"--replace"}), 4);
  EXPECT_EQ(kw({"report", "mill", "--to", site.string(), "--replace"}).exit, 0);
  EXPECT_EQ(read_tree(site).size(), whole.size());
  // As a run leaves it that is cut off: what tells a report is written first.
  Tree half = {{"assets/keepway.js", whole.at("assets/keepway.js").substr(0, 10)}};
  fs::remove_all(site);
  write_tree(site, half);
  EXPECT_EQ(kw({"report", "mill", "--to", site.string()}).exit, 5);
  EXPECT_EQ(kw({"report", "mill", "--to", site.string(), "--replace"}).exit, 0);
  EXPECT_EQ(read_tree(site).at("assets/keepway.js"), whole.at("assets/keepway.js"));
}

TEST_F(Pages, WrongUseIsReported) {
  EXPECT_EQ(kw({"report", "--to", (root() / "x").string()}).exit, 2);
  EXPECT_EQ(kw({"report", "none", "--to", (root() / "x").string()}).exit, 2);
  EXPECT_EQ(kw({"report", "mill"}).exit, 2);
  EXPECT_EQ(kw({"sheet", "mill"}).exit, 2);
  EXPECT_EQ(kw({"sheet", "mill", "--to", (root() / "c.html").string(), "--paper", "a0"}).exit, 2);
  EXPECT_EQ(kw({"view", "none"}).exit, 2);
  EXPECT_FALSE(fs::exists(root() / "x"));
  for (const std::string& command : Args{"report", "sheet", "view"})
    EXPECT_NE(kw({command, "--help"}).out.find("Example:\n  keepway " + command), std::string::npos);
}

TEST_F(Pages, ACardIsNotWrittenOverAnotherFile) {
  const std::string card = (root() / "card.html").string();
  EXPECT_EQ(json({"sheet", "mill", "--to", card}, 0).at("backup"), 2);
  EXPECT_EQ(kw({"sheet", "mill", "--to", card}).exit, 5);
  EXPECT_EQ(kw({"sheet", "mill", "--to", card, "--replace"}).exit, 0);
  EXPECT_EQ(kw({"sheet", "mill", "--to", (root() / "card.pdf").string()}).exit, 2) << "it would be HTML";
  EXPECT_EQ(kw({"sheet", "mill", "--to", (repository("mill") / "card.html").string()}).exit, 5);
  EXPECT_NE(read_file(card).find("class=\"qr\""), std::string::npos);
}

TEST_F(Pages, StepsInALayoutAreCheckedWithTheirLine) {
  const auto enroll = [&](const std::string& steps) {
    write_file(root() / "own.toml",
               steps + "[[source]]\ngroup = \"variables\"\nfiles = [\"*.V\"]\nreader = \"assign\"\n");
    return kw({"enroll", "own", "--layout", (root() / "own.toml").string()});
  };
  const std::string head = "layout = 1\n";
  const std::vector<std::pair<std::string, std::string>> wrong = {
      {"[[backup_step]]\n", "'do' is empty"},
      {"[[backup_step]]\ndo = 5\n", "do"},
      {"[[backup_step]]\ndo = \"\"\n", "'do' is empty"},
      {"[[backup_step]]\ndo = \"a\\nb\"\n", "more than one line"},
      {"[[backup_step]]\ndo = \"" + std::string(141, 'x') + "\"\n", "longer than 140"},
      {"[[backup_step]]\ndo = \"a\"\nunlok = \"program lock\"\n", "unlok"},
      {"[[backup_step]]\ndo = \"a\"\nunlock = \"program lock\"\n",
       "'program lock' is turned off and never turned on again"},
      {"[[restore_step]]\ndo = \"a\"\nlock = \"program lock\"\n", "'program lock' is not turned off"},
  };
  for (const auto& [steps, what] : wrong) {
    const Ran ran = enroll(head + steps);
    EXPECT_EQ(ran.exit, 3) << steps << ran.err;
    EXPECT_NE(ran.err.find(what), std::string::npos) << ran.err;
    EXPECT_NE(ran.err.find("own.toml:"), std::string::npos) << ran.err;
  }
  std::string many = head;
  for (int i = 0; i < 13; ++i) many += "[[backup_step]]\ndo = \"a\"\n";
  EXPECT_EQ(enroll(many).exit, 3);
  EXPECT_EQ(enroll(head +
                   "[[backup_step]]\ndo = \"a\"\nunlock = \"k\"\n[[backup_step]]\ndo = \"b\"\nlock = \"k\"\n")
                .exit,
            0);
}

class View : public LiveTest {
 protected:
  [[nodiscard]] Args command() const override { return {"view", "mill", "--json"}; }
};

TEST_F(View, ServesThePagesOfTheReport) {
  ASSERT_EQ(kw({"report", "mill", "--to", (root() / "site").string()}).exit, 0);
  for (const auto& [path, bytes] : read_tree(root() / "site")) {
    EXPECT_EQ(curl({}, path), "200") << path;
    if (path != "data/machine.js" && path != "index.html") {
      EXPECT_EQ(body_, bytes) << path;
    }
  }
  EXPECT_EQ(curl({}), "200");
  EXPECT_NE(body_.find("keepway.js"), std::string::npos);
}

TEST_F(View, AnswersNoOtherHostAndNoOtherSite) {
  EXPECT_EQ(curl({"-H", "Host: localhost:" + port()}), "200");
  EXPECT_EQ(curl({"-H", "Host: 127.0.0.1:" + port(), "-H", "Origin: http://127.0.0.1:" + port()}), "200");
  for (const std::string& host :
       Args{"evil.example", "evil.example:" + port(), "127.0.0.1", "127.0.0.1.evil.example:" + port(), ""})
    EXPECT_EQ(curl({"-H", host.empty() ? "Host;" : "Host: " + host}), "403") << host;
  for (const std::string& origin : Args{"http://evil.example", "null", "https://127.0.0.1:" + port()})
    EXPECT_EQ(curl({"-H", "Origin: " + origin}), "403") << origin;
}

TEST_F(View, WritesNothing) {
  const std::string before = refs(repository("mill"));
  for (const std::string& method : Args{"POST", "PUT", "DELETE", "PATCH", "OPTIONS"})
    EXPECT_EQ(curl({"-X", method, "-d", "x=1"}), "405") << method;
  EXPECT_EQ(curl({"-I"}), "200");
  EXPECT_EQ(refs(repository("mill")), before);
}

TEST_F(View, HostilePathsReachNoFile) {
  for (const std::string& path :
       Args{"../shop.toml", "data/../../shop.toml", "..%2f..%2fshop.toml", "%2e%2e/shop.toml",
            "data/..\\machine.toml", "machine.toml", ".git/config", "data/machine.js/",
            "data/backups-99999999999999999999.js", "data/backups-00.js", "data/backups--1.js",
            "data/items-none.js", "assets/", "assets/../machine.toml", "%00", "data/machine.js%00.html",
            "//etc/passwd", "machines/mill/index.html"}) {
    EXPECT_EQ(curl({}, path), "404") << path;
    EXPECT_EQ(body_.find("serial"), std::string::npos);
  }
}

TEST_F(View, ListensOnLoopbackAlone) {
  const Ran sockets = run("ss", {"-Hltn", "sport = :" + port()}, root());
  if (sockets.exit != 0) GTEST_SKIP() << "there is no ss on this machine";
  const auto lines = lines_of(sockets.out);
  ASSERT_EQ(lines.size(), 1U) << sockets.out;
  EXPECT_NE(lines[0].find("127.0.0.1:" + port()), std::string::npos);
}

TEST_F(View, AnOlderPageSaysSo) {
  ASSERT_EQ(curl({}, "data/machine.js"), "200");
  EXPECT_EQ(curl({}, "data/heat.js?of=0000000000000000000000000000000000000000"), "200");
  EXPECT_EQ(body_, "keepway.stale();\n");
}

// A machine's objects out of reach, as on a damaged disk, for as long as this lives.
class LostObjects {
 public:
  LostObjects(const fs::path& repository, fs::path aside)
      : objects_(repository / ".git" / "objects"), aside_(std::move(aside)) {
    fs::rename(objects_, aside_);
    fs::create_directories(objects_);
  }
  ~LostObjects() {
    std::error_code failed;
    fs::remove_all(objects_, failed);
    fs::rename(aside_, objects_, failed);
  }
  LostObjects(const LostObjects&) = delete;
  LostObjects& operator=(const LostObjects&) = delete;

 private:
  fs::path objects_;
  fs::path aside_;
};

TEST_F(View, APageThatFailsEndsNoView) {
  {
    const LostObjects lost(repository("mill"), root() / "aside");
    for (const std::string& path : Args{"", "data/heat.js", "data/machine.js", "data/heat.js"}) {
      EXPECT_EQ(curl({}, path), "500") << path;
      EXPECT_NE(body_, "") << path;
    }
    EXPECT_EQ(curl({}, "assets/keepway.css"), "200");
  }
  EXPECT_EQ(curl({}), "200");
  EXPECT_EQ(curl({}, "data/heat.js"), "200");
}

class ShopView : public View {
 protected:
  [[nodiscard]] Args command() const override { return {"view", "--json"}; }
  void SetUp() override {
    View::SetUp();
    enroll_lathe();
    intake("lathe", lathe_files(), 0);
  }
  // The rows of the shop's list.
  Json machines() {
    EXPECT_EQ(curl({}, "data/shop.js"), "200");
    const std::size_t begin = std::min(body_.find('{'), body_.size());
    const std::size_t end = body_.rfind('}');
    const Json shop = Json::parse(body_.substr(begin, end - begin + 1), nullptr, false);
    if (!shop.is_object()) return Json::array();
    return shop.at("machines");
  }
};

TEST_F(ShopView, AMachineThatCannotBeReadHidesNoOther) {
  {
    const LostObjects lost(repository("lathe"), root() / "aside");
    for (int round = 0; round < 2; ++round) {
      EXPECT_EQ(curl({}), "200");
      const Json rows = machines();
      ASSERT_EQ(rows.size(), 2U) << body_;
      EXPECT_EQ(rows[0].at("name"), "lathe");
      EXPECT_EQ(rows[0].at("title").get<std::string>().find("cannot be read: "), 0U) << body_;
      EXPECT_TRUE(rows[0].at("newest").is_null());
      EXPECT_EQ(rows[1].at("title"), "Knee mill");
      EXPECT_EQ(rows[1].at("backups"), 2);
      EXPECT_EQ(curl({}, "machines/lathe/index.html"), "500");
      EXPECT_EQ(curl({}, "machines/lathe/data/heat.js"), "500");
      EXPECT_EQ(curl({}, "machines/mill/index.html"), "200");
    }
  }
  const Json rows = machines();
  ASSERT_EQ(rows.size(), 2U) << body_;
  EXPECT_EQ(rows[0].at("title"), "lathe");
  EXPECT_EQ(rows[0].at("backups"), 1);
  EXPECT_EQ(curl({}, "machines/lathe/index.html"), "200");
}

TEST_F(Pages, AProgramsChangeIsShownWithAllItsBlocks) {
  intake("mill", with(mill_files(), "O1001.ngc", "Z-.5", "Z-.625"), 0);
  ASSERT_EQ(kw({"report", "mill", "--to", (root() / "site").string()}).exit, 0);
  bool shown = false;
  for (const auto& [name, text] : read_tree(root() / "site")) {
    if (text.find("Z-0.625") == std::string::npos || text.find("\"blocks\"") == std::string::npos) continue;
    shown = shown || text.find("\"blocks\":[{") != std::string::npos;
    EXPECT_EQ(text.find("\"blocks\":[]"), std::string::npos) << name;
  }
  EXPECT_TRUE(shown);
}

}  // namespace
}  // namespace scenario
