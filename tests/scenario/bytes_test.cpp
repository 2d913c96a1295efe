// intake, then restore: the same bytes under the same names, whatever they are.
#include <fmt/format.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

class Bytes : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_mill();
  }

  void expect_round_trip(const Tree& files) {
    const fs::path folder = put(files);
    const Ran in = kw({"intake", "mill", folder.string(), "--accept"});
    ASSERT_TRUE(in.exit == 0 || in.exit == 1) << in.exit << in.out << in.err;
    const fs::path back = root() / "back";
    const Ran out = kw({"restore", "mill", "--at", "HEAD", "--to", back.string(), "--accept"});
    ASSERT_EQ(out.exit, 0) << out.out << out.err;
    EXPECT_EQ(read_tree(back), read_tree(folder));
    const Ran diff = run("diff", {"-r", folder.string(), back.string()}, root());
    EXPECT_EQ(diff.exit, 0) << diff.out << diff.err;
    fs::remove_all(back);
    fs::remove_all(folder);
  }

  // Refused, with a reason, and nothing changed.
  void expect_refused(const fs::path& folder) {
    const std::string before = refs(repository("mill"));
    const Ran ran = kw({"intake", "mill", folder.string(), "--accept"});
    EXPECT_EQ(ran.exit, 5) << ran.out << ran.err;
    EXPECT_NE(ran.err.find("what to do: "), std::string::npos);
    EXPECT_EQ(refs(repository("mill")), before);
    EXPECT_TRUE(fsck_clean(repository("mill")));
  }
};

std::string random_name(Random& random) {
  static const std::vector<std::string> hostile = {"CON",
                                                   "con.txt",
                                                   "PRN",
                                                   "aux",
                                                   "NUL.nc",
                                                   "COM1",
                                                   "lpt9.x",
                                                   ".git",
                                                   ".GIT",
                                                   ".gitmodules",
                                                   ".gitattributes",
                                                   "git~1",
                                                   "GIT~1",
                                                   "a%",
                                                   "%41",
                                                   "%",
                                                   "%%",
                                                   "100%.nc",
                                                   "trail.",
                                                   "trail ",
                                                   "trail. .",
                                                   " lead",
                                                   "-rf",
                                                   "--help",
                                                   "a\\b",
                                                   "c:d",
                                                   "q?*<>|\"",
                                                   "new\nline",
                                                   "tab\tx",
                                                   "\x01\x1f\x7f",
                                                   "\xff\xfe",
                                                   "\xc3\xa4",
                                                   "a\xcc\x88",
                                                   "\xe2\x80\xaegnp.nc",
                                                   "~",
                                                   "$HOME",
                                                   "a b",
                                                   "A B",
                                                   "'",
                                                   ";ls",
                                                   "#1",
                                                   "\xc0\xaf",
                                                   "\xed\xa0\x80",
                                                   ".a",
                                                   "...",
                                                   "README",
                                                   "readme",
                                                   "ReadMe",
                                                   "O1.NC",
                                                   "o1.nc",
                                                   "HEAD",
                                                   "state",
                                                   "originals",
                                                   "x.lock"};
  if (random.once_in(2)) return random.of(hostile);
  std::string name;
  const std::size_t length = 1 + random.below(12);
  while (name.size() < length) {
    const char c = random.bytes(1)[0];
    if (c != '/' && c != '\0') name += c;
  }
  return name == "." || name == ".." ? "dots" : name;
}

TEST_F(Bytes, RandomFoldersComeBackByteForByte) {
  for (std::uint64_t seed = 1; seed <= 25; ++seed) {
    SCOPED_TRACE(seed);
    Random random(seed);
    std::vector<std::string> folders = {""};
    Tree files;
    std::set<std::string> taken;
    for (std::size_t i = random.below(40) + 1; i > 0; --i) {
      const std::string name = random.of(folders) + random_name(random);
      if (!taken.insert(name).second) continue;
      if (random.once_in(5)) {
        files[name + "/"];
        folders.push_back(name + "/");
      } else {
        files[name] = random.bytes(random.once_in(4) ? 0 : random.below(3000));
      }
    }
    files["always.ngc"] = random.bytes(random.below(2000));
    if (random.once_in(2)) files["m.var"] = mill_files().at("mill.var") + random.bytes(30);
    if (random.once_in(2)) files["m.tbl"] = random.bytes(200);
    if (random.once_in(2)) files["m.ini"] = random.bytes(200);
    expect_round_trip(files);
  }
}

TEST_F(Bytes, NamesThatDifferOnlyInLetterCaseStayApart) {
  Tree files;
  for (const char* name :
       {"ABC.NC", "abc.nc", "Abc.nc", "aBC.nc", "D/x", "d/x", "D/X", "d/X", "%41", "A", "a"})
    files[name] = std::string("in ") + name;
  files["e/"];
  files["E/"];
  expect_round_trip(files);
  const Ran listed = git(repository("mill"), {"ls-tree", "-r", "-z", "--name-only", "HEAD", "originals/"});
  std::set<std::string> lower;
  std::size_t count = 0;
  for (std::size_t at = 0; at < listed.out.size(); ++count) {
    const std::size_t end = listed.out.find('\0', at);
    std::string name = listed.out.substr(at, end - at);
    for (char& c : name) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    lower.insert(name);
    at = end + 1;
  }
  EXPECT_EQ(lower.size(), count) << "a checkout on a disk that does not tell case would lose files:\n"
                                 << git(repository("mill"), {"ls-tree", "-r", "--name-only", "HEAD"}).out;
}

TEST_F(Bytes, EveryByteAsANameComesBack) {
  Tree files;
  for (int byte = 1; byte < 256; ++byte) {
    const auto c = static_cast<char>(byte);
    if (c == '/') continue;
    files[std::string("n") + c + "x.nc"] = fmt::format("{}", byte);
    if (c != '.') files[std::string("d/") + c] = "";
    files[std::string("e/x") + c] = "";
  }
  expect_round_trip(files);
}

TEST_F(Bytes, EveryByteInEveryKindOfFileComesBack) {
  std::string all;
  for (int round = 0; round < 3; ++round) {
    for (int byte = 0; byte < 256; ++byte) all += static_cast<char>(byte);
  }
  expect_round_trip({{"a.ngc", all}, {"a.var", all}, {"a.tbl", all}, {"a.ini", all}, {"a.bin", all}});
}

TEST_F(Bytes, EmptyFilesAndFoldersComeBack) {
  expect_round_trip({{"a.ngc", ""}, {"b", ""}, {"empty/", ""}, {"deep/er/empty/", ""}, {"deep/file", ""}});
}

TEST_F(Bytes, GitsOwnRulesForLineEndsAndFiltersDoNotTouchOriginals) {
  expect_round_trip({{"a.ngc", "%\r\nO1\r\nM30\r\n%\r\n"},
                     {".gitattributes", "* text=auto eol=lf ident\n"},
                     {".gitignore", "*\n"},
                     {"b.ngc", "O2 ($Id$)\rM30\r"}});
}

TEST_F(Bytes, LongNamesAreStoredOrRefused) {
  expect_round_trip({{std::string(251, 'n') + ".ngc", "O1\nM30\n"}, {std::string(255, 'x') + "/f.ngc", ""}});
  expect_refused(put({{std::string(200, '?') + ".ngc", "O1\nM30\n"}}));
}

TEST_F(Bytes, DeepFoldersAreStoredAndBottomlessOnesRefused) {
  std::string deep;
  for (int i = 0; i < 60; ++i) deep += "d/";
  expect_round_trip({{deep + "a.ngc", "O1\nM30\n"}, {deep + "empty/", ""}});
  for (int i = 0; i < 60; ++i) deep += "d/";
  const fs::path folder = put({{deep + "a.ngc", "O1\nM30\n"}});
  const std::string before = refs(repository("mill"));
  const Ran ran = kw({"intake", "mill", folder.string(), "--accept"});
  EXPECT_TRUE(ran.exit == 3 || ran.exit == 5) << ran.exit << ran.err;
  EXPECT_EQ(refs(repository("mill")), before);
}

TEST_F(Bytes, LargeFilesComeBack) {
  Random random(7);
  std::string program = "%\nO7000\n";
  while (program.size() < 3'000'000)
    program += fmt::format("X{}.{} Y{}\n", random.below(90), random.below(999), random.below(90));
  expect_round_trip({{"big.ngc", program + "M30\n%\n"},
                     {"noise.bin", random.bytes(20'000'000)},
                     {"line.ngc", std::string(2'000'000, 'X')},
                     {"zero.var", std::string(1'000'000, '\0')}});
}

TEST_F(Bytes, ASingleFileIsABackupToo) {
  const fs::path folder = put({{"one.ngc", "O1\nM30\n"}});
  EXPECT_EQ(kw({"intake", "mill", (folder / "one.ngc").string()}).exit, 1) << "groups are missing";
  EXPECT_EQ(kw({"restore", "mill", "--at", "1", "--to", (root() / "one").string(), "--accept"}).exit, 0);
  EXPECT_EQ(read_tree(root() / "one"), read_tree(folder));
}

TEST_F(Bytes, LinksPipesAndSocketsAreRefusedAndNothingIsStored) {
  intake("mill", mill_files(), 0);
  const fs::path links = put(mill_files());
  fs::create_symlink("O1000.ngc", links / "link.ngc");
  expect_refused(links);
  const fs::path dangling = put(mill_files());
  fs::create_symlink("/etc", dangling / "etc");
  expect_refused(dangling);
  const fs::path pipes = put(mill_files());
  fs::create_directories(pipes / "sub");
  ASSERT_EQ(::mkfifo((pipes / "sub" / "pipe").c_str(), 0600), 0);
  expect_refused(pipes);
  const fs::path sockets = put(mill_files());
  const int handle = ::socket(AF_UNIX, SOCK_STREAM, 0);
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  const std::string name = (sockets / "s").string();
  ASSERT_LT(name.size(), sizeof address.sun_path);
  name.copy(address.sun_path, name.size());
  ASSERT_EQ(::bind(handle, reinterpret_cast<sockaddr*>(&address), sizeof address), 0);
  ::close(handle);
  expect_refused(sockets);
}

TEST_F(Bytes, WhatIsNotThereOrCannotBeReadIsBadInput) {
  EXPECT_EQ(kw({"intake", "mill", (root() / "nowhere").string()}).exit, 3);
  const std::string before = refs(repository("mill"));
  EXPECT_EQ(kw({"intake", "mill", put({}).string()}).exit, 5) << "an empty folder holds nothing known";
  EXPECT_EQ(refs(repository("mill")), before);
}

}  // namespace
}  // namespace scenario
