// Shapes that no control writes and that a backup may have all the same: a clear result or a clear error, in
// bounded memory. What is larger than an everyday run can bear was measured by hand; see DEVELOPERS.md.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <sys/resource.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class HostileShapes : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
  }
  // Largest memory of any program run so far, in MB. A sanitizer takes more than the program does.
  static void expect_memory_below(long megabytes) {
#ifdef KEEPWAY_FAULT_SHIM
    rusage used{};
    ASSERT_EQ(::getrusage(RUSAGE_CHILDREN, &used), 0);
    EXPECT_LT(used.ru_maxrss / 1024, megabytes);
#else
    (void)megabytes;
#endif
  }
  // Taken in whatever it is worth, whole by the audit, and back byte for byte.
  void expect_kept(const fs::path& folder) {
    const Ran in = kw({"intake", "mill", folder.string(), "--accept"});
    ASSERT_LE(in.exit, 1) << in.err;
    EXPECT_LT(in.out.size(), 100'000U) << "an answer that a person can read";
    const Ran audit = kw({"audit", "mill"});
    EXPECT_EQ(audit.exit, 0) << audit.out << audit.err;
    ASSERT_LE(kw({"restore", "mill", "--at", "HEAD", "--to", (root() / "back").string(), "--accept"}).exit,
              1);
    const Ran diff = run("diff", {"-r", folder.string(), (root() / "back").string()}, root());
    EXPECT_EQ(diff.exit, 0) << diff.out << diff.err;
  }
};

TEST_F(HostileShapes, AFileOfAGigabyteIsRefusedUnread) {
  const fs::path folder = put(mill_files());
  write_file(folder / "O1.ngc", "");
  fs::resize_file(folder / "O1.ngc", 1'000'000'000);
  const std::string before = refs(repository("mill"));
  const Ran ran = kw({"intake", "mill", folder.string(), "--accept"});
  EXPECT_EQ(ran.exit, 3);
  EXPECT_THAT(ran.err,
              testing::AllOf(HasSubstr("O1.ngc"), HasSubstr("over the limit"), HasSubstr("what to do")));
  EXPECT_EQ(refs(repository("mill")), before);
  expect_memory_below(100);
}

TEST_F(HostileShapes, ALineOfManyMegabytesIsKept) {
  constexpr std::size_t size = 24'000'000;
  Tree files = mill_files();
  files["O1.ngc"] = std::string(size, 'X');
  files["mill.var"] = std::string(size, '1');
  expect_kept(put(files));
  expect_memory_below(24 * 12 + 100);  // six times what came in, and the program itself
}

TEST_F(HostileShapes, ManyProgramsAndManyRowsAreKept) {
  Tree files = mill_files();
  for (int i = 0; i < 4000; ++i)
    files[fmt::format("P{}.ngc", i)] = fmt::format("O{}\nG1 X{} F5\nM30\n", 2000 + i, i);
  for (int i = 6000; i < 150'000; ++i) files["mill.var"] += fmt::format("{}\t{}.5\n", i, i);
  expect_kept(put(files));
}

TEST_F(HostileShapes, NothingButEmptyFilesIsKept) {
  Tree files = mill_files();
  for (auto& [name, bytes] : files) bytes.clear();
  for (int i = 0; i < 300; ++i) files[fmt::format("empty{}.ngc", i)];
  files["void/"];
  expect_kept(put(files));
}

TEST_F(HostileShapes, DeepFoldersAreKeptUpToTheBound) {
  std::string deep;
  for (int i = 0; i < 60; ++i) deep += "d/";
  Tree files = mill_files();
  files[deep + "O1.ngc"] = "O1\nM30\n";
  expect_kept(put(files));
  files[deep + deep + "O1.ngc"] = "O1\nM30\n";
  const Ran ran = kw({"intake", "mill", put(files).string(), "--accept"});
  EXPECT_TRUE(ran.exit == 3 || ran.exit == 5) << ran.exit;
  EXPECT_THAT(ran.err, HasSubstr("what to do"));
}

}  // namespace
}  // namespace scenario
