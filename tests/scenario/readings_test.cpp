// What is remembered from one intake to the next changes no answer and no stored byte, whatever is in it.
// All values are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

class Readings : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
  }
  [[nodiscard]] fs::path file() const {
    return repository("lathe") / ".git" / "keepway" / "cache" / "readings";
  }
  // What is said of files, but for the folder that they were put into.
  Json said(const Tree& files, const std::string& at) {
    Json answer = inspect("lathe", files, {"--at", at});
    answer.erase("source");
    return answer;
  }
  // An intake's answer and what it stored, where it may remember and where it may not; both must be the same.
  void expect_same(const Tree& files, int exit, const std::string& at) {
    SCOPED_TRACE(at);
    const std::string kept = fs::exists(file()) ? read_file(file()) : std::string();
    fs::remove(file());
    const Json again = said(files, at);
    if (!kept.empty()) write_file(file(), kept);
    EXPECT_EQ(said(files, at), again);
    intake("lathe", files, exit, {"--at", at});
    EXPECT_EQ(kw({"audit", "lathe"}).exit, 0) << "the state follows from the originals";
  }
};

TEST_F(Readings, ChangeNoAnswerAndNothingStored) {
  const Tree first = lathe_files();
  const Tree second = with(first, "OFFSETS.TXT", "X-1. Z3.", "X-1. Z3.5");
  expect_same(first, 0, "2026-03-01");
  EXPECT_FALSE(fs::exists(file())) << "nothing came twice yet";
  expect_same(first, 0, "2026-03-02");
  EXPECT_TRUE(fs::exists(file()));
  expect_same(second, 0, "2026-03-03");
  expect_same(second, 0, "2026-03-04");
  expect_same(first, 0, "2026-03-05");
}

TEST_F(Readings, OnesThatAreNotWholeAreNotUsed) {
  const Tree files = lathe_files();
  for (const char* at : {"2026-02-27", "2026-02-28", "2026-03-01"}) intake("lathe", files, 0, {"--at", at});
  const std::string whole = read_file(file());
  ASSERT_THAT(whole, testing::HasSubstr("G0")) << "programs are remembered";
  const Tree next = with(files, "OFFSETS.TXT", "X-1. Z3.", "X-1. Z3.5");
  const Json expected = said(next, "2026-03-02");
  for (std::size_t at = 0; at < whole.size(); at += whole.size() / 23 + 1) {
    std::string damaged = whole;
    damaged[at] = static_cast<char>(damaged[at] ^ 4);
    write_file(file(), damaged);
    EXPECT_EQ(said(next, "2026-03-02"), expected) << at;
    write_file(file(), whole.substr(0, at));
    EXPECT_EQ(said(next, "2026-03-02"), expected) << "cut at " << at;
  }
  fs::remove(file());
  fs::create_directory(file());
  intake("lathe", next, 0, {"--at", "2026-03-02"});
  EXPECT_TRUE(fs::is_directory(file())) << "what cannot be written is left";
}

// The same bytes by another layout are another reading.
TEST_F(Readings, AnotherLayoutReadsAgain) {
  const Tree files = lathe_files();
  for (const char* at : {"2026-02-28", "2026-03-01"}) intake("lathe", files, 0, {"--at", at});
  const std::string before = read_file(file());
  const fs::path layout = repository("lathe") / "layout.toml";
  write_file(layout, read_file(layout) + "\n# edited by hand\n");
  expect_same(files, 0, "2026-03-02");
  EXPECT_NE(read_file(file()), before);
}

}  // namespace
}  // namespace scenario
