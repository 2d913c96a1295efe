// What has to be on the disk before what, so that a power cut takes nothing that was said to be done: seen in
// the order of the calls themselves, on whatever file system this is.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <functional>
#include <set>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

struct Call {
  std::string name;
  std::string path;  // where it changes something
};

std::string folder_of(const std::string& path) {
  return path.substr(0, path.rfind('/'));
}

// Files and folders with something in them that is not on the disk yet.
class Unsynced {
 public:
  // Making a folder that is there already changes nothing.
  explicit Unsynced(const fs::path& top) {
    for (const auto& entry : fs::recursive_directory_iterator(top)) there_.insert(entry.path().string());
  }
  void meet(const Call& call) {
    if (call.path.ends_with(".keep")) return;  // holds a pack for as long as the program lives
    if (call.name == "write" || call.name == "pwrite" || call.name == "writev") paths_.insert(call.path);
    if (call.name == "mkdir" && !there_.contains(call.path)) paths_.insert(folder_of(call.path));
    if (call.name == "rename" || call.name == "link") {
      paths_.insert(folder_of(call.path));
      // The names that files have, Git's and ours, before they get their own.
      for (const char* ending : {".lock", ".new"}) {
        if (paths_.erase(call.path + ending) > 0) paths_.insert(call.path);
      }
    }
    if (call.name == "unlink") paths_.erase(call.path);
    if (call.name == "fsync" || call.name == "fdatasync") paths_.erase(call.path);
  }
  [[nodiscard]] std::set<std::string> below(const std::string& folder) const {
    std::set<std::string> out;
    for (const std::string& path : paths_) {
      if (path.starts_with(folder)) out.insert(path);
    }
    return out;
  }
  [[nodiscard]] bool has(const std::string& path) const { return paths_.contains(path); }

 private:
  std::set<std::string> there_;
  std::set<std::string> paths_;
};

class PowerLoss : public ShopTest {
 protected:
  void SetUp() override {
#ifndef KEEPWAY_FAULT_SHIM
    GTEST_SKIP() << "a sanitizer's run-time does not let another library in before it";
#endif
    ShopTest::SetUp();
  }
  void TearDown() override {
    if (!IsSkipped()) ShopTest::TearDown();
  }
  // A command and `at` before each of its calls that change something; returns what is unsynced at its end.
  Unsynced run_watched(
      const Args& args,
      const std::function<void(const Call&, const Unsynced&)>& at = [](const Call&, const Unsynced&) {}) {
    const fs::path log = root() / "calls";
    fs::remove(log);
    Unsynced unsynced(root());
#ifdef KEEPWAY_FAULT_SHIM
    const Ran ran = kw(args, {{"LD_PRELOAD", KEEPWAY_FAULT_SHIM},
                              {"KEEPWAY_FAULT_ROOT", root().string()},
                              {"KEEPWAY_FAULT_LOG", log.string()}});
    EXPECT_LE(ran.exit, 1) << ran.err;
#endif
    for (const std::string& line : lines_of(read_file(log))) {
      const std::size_t name = line.find(' ') + 1;
      const std::size_t path = line.find(' ', name) + 1;
      const Call call{line.substr(name, path - name - 1), line.substr(path)};
      at(call, unsynced);
      unsynced.meet(call);
    }
    return unsynced;
  }
  // The file at `path` gets its place whole, and its name is on the disk when the command says that it is
  // done.
  void expect_replaced_durably(const Args& args, const fs::path& path) {
    SCOPED_TRACE(path);
    std::size_t replaced = 0;
    bool before = true;
    bool after = false;
    const Unsynced left = run_watched(args, [&](const Call& call, const Unsynced& unsynced) {
      if (call.name == "fsync" && call.path == path.parent_path()) after = true;
      if ((call.name != "rename" && call.name != "link") || call.path != path) return;
      ++replaced;
      after = false;
      before = before && !unsynced.has(call.path + ".lock") && !unsynced.has(call.path + ".new");
    });
    EXPECT_GT(replaced, 0U);
    EXPECT_TRUE(before) << "it got its name before its bytes were on the disk";
    EXPECT_FALSE(left.has(path));
    EXPECT_TRUE(after) << "its name is not on the disk";
  }
};

TEST_F(PowerLoss, AnIntakeSyncsObjectsThenTheLineThenItsFolder) {
  enroll_mill();
  const std::string objects = (repository("mill") / ".git" / "objects").string();
  for (const bool many : {false, true}) {
    Tree files = mill_files();
    for (int i = 0; many && i < 30; ++i)
      files[fmt::format("O{}.ngc", 5000 + i)] = fmt::format("O{}\nM30\n", 5000 + i);
    files["noise.bin"] = many ? "a" : "b";
    bool moved = false;
    const Unsynced left =
        run_watched({"intake", "mill", put(files).string()}, [&](const Call& call, const Unsynced& unsynced) {
          if ((call.name != "link" && call.name != "rename") || !call.path.ends_with("/refs/heads/main"))
            return;
          moved = true;
          EXPECT_THAT(unsynced.below(objects), testing::IsEmpty())
              << "the line moved before these were on the disk";
        });
    EXPECT_TRUE(moved);
    EXPECT_FALSE(left.has((repository("mill") / ".git/refs/heads").string()))
        << "the line's own folder entry";
  }
}

// HEAD, config and all else of a machine come to the disk before the machine is there.
TEST_F(PowerLoss, AMachineThatIsMadeIsOnTheDiskBeforeItHasItsName) {
  enroll_mill();
  const fs::path remote = root() / "remote.git";
  ASSERT_EQ(git(root(), {"init", "-q", "--bare", remote.string()}).exit, 0);
  ASSERT_LE(kw({"sync", "mill", "--to", remote.string()}).exit, 1);
  const std::vector<std::pair<std::string, Args>> ways = {
      {"lathe", {"enroll", "lathe", "--layout", "rs274ngc"}},
      {"second", {"sync", "second", "--to", remote.string()}}};
  for (const auto& [machine, command] : ways) {
    SCOPED_TRACE(machine);
    const std::string made = (shop() / ("." + machine + ".new")).string();
    const std::string place = repository(machine).string();
    std::set<std::string> written;
    bool named = false;
    const Unsynced left = run_watched(command, [&](const Call& call, const Unsynced& unsynced) {
      if (call.path.starts_with(made)) written.insert(call.path);
      if (call.name != "rename" || call.path != place) return;
      named = true;
      EXPECT_THAT(unsynced.below(made), testing::IsEmpty()) << "it was named before these were on the disk";
    });
    EXPECT_TRUE(named);
    EXPECT_THAT(written, testing::Contains(made + "/.git/HEAD"));
    EXPECT_THAT(written, testing::Contains(made + "/.git/config"));
    EXPECT_FALSE(left.has(shop().string())) << "its name is not on the disk";
    EXPECT_THAT(left.below(place + "/.git/HEAD"), testing::IsEmpty());
    EXPECT_THAT(left.below(place + "/.git/config"), testing::IsEmpty());
  }
}

TEST_F(PowerLoss, HeadAndConfigAreReplacedOnlyByWhatIsOnTheDisk) {
  enroll_mill();
  intake("mill", mill_files(), 0, {"--at", "2026-01-01"});
  const fs::path git_folder = repository("mill") / ".git";
  const fs::path remote = root() / "remote.git";
  ASSERT_EQ(git(root(), {"init", "-q", "--bare", remote.string()}).exit, 0);
  expect_replaced_durably({"sync", "mill", "--to", remote.string()}, git_folder / "config");
  expect_replaced_durably({"trial", "mill", "begin", "warm-up"}, git_folder / "HEAD");
  expect_replaced_durably({"trial", "mill", "drop", "warm-up"}, git_folder / "HEAD");
}

TEST_F(PowerLoss, AShopIsOnTheDiskWithTheFoldersThatLeadToIt) {
  const fs::path deep = root() / "a" / "b";
  const Unsynced left = run_watched({"init", deep.string(), "--title", "Deep"});
  EXPECT_THAT(left.below(root().string()), testing::IsEmpty());
  EXPECT_TRUE(fs::exists(deep / "shop.toml"));
}

}  // namespace
}  // namespace scenario
