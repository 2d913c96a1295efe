// Layouts, namebooks and machine.toml that people mistyped: exit 3, with file and line.
#include <fcntl.h>
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <sys/file.h>
#include <unistd.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class BrokenFiles : public ShopTest {
 protected:
  void expect_at(const Ran& ran, const std::string& place) {
    EXPECT_EQ(ran.exit, 3) << ran.out << ran.err;
    EXPECT_THAT(ran.err, HasSubstr(place)) << "names the file and the line";
    EXPECT_THAT(ran.err, HasSubstr("what to do: "));
  }
};

TEST_F(BrokenFiles, LayoutErrorsNameFileAndLine) {
  const std::string head = "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = \"*.OFFSETS\"\n";
  const std::vector<std::pair<std::string, int>> broken = {
      {"", 1},
      {"layout = 2\n", 1},
      {"layout = 1\n", 1},
      {"layout = 1\n[[source]]\ngroup = \"ofsets\"\nfiles = \"*\"\nreader = \"words\"\n", 3},
      {"layout = 1\nunits = \"cubit\"\n", 2},
      {"layout = 1\nsurce = 2\n", 2},
      {"layout = 1\n[[source]\n", 2},
      {"layout = 1\ntitle = \"open\n", 2},
      {head, 2},
      {head + "reader = \"magic\"\n", 5},
      {head + "reader = \"blocks\"\n", 5},
      {head + "reader = \"words\"\n", 2},
      {head + "reader = \"assign\"\nleast_increment = 0.0001\n", 6},
      {head + "reader = \"assign\"\nleast_increment = \"0\"\n", 6},
      {head + "reader = \"assign\"\ncoment = \";\"\n", 6},
      {head + "reader = \"columns\"\ncolumns = [\"a\"]\naddress = \"{b}\"\nfields = { a = \"\" }\n", 7},
      {head + "reader = \"columns\"\ncolumns = [\"a\", \"a\"]\naddress = \"{a}\"\nfields = { a = \"\" }\n",
       6},
      {head + "reader = \"words\"\n[[source.row]]\naddress = \"{P\"\nfields = { X = \"X\" }\n", 7},
      {head + "reader = \"words\"\n[[source.row]]\naddress = \"{P}\"\nfields = { XY = \"X\" }\n", 8},
      {head + "reader = \"assign\"\n[source.places]\n\"1-3\" = \"offsets/{X,Y}\"\n", 7},
  };
  for (const auto& [text, line] : broken) {
    SCOPED_TRACE(text);
    write_file(root() / "own.toml", text);
    const Ran ran = kw({"enroll", "m", "--layout", (root() / "own.toml").string()});
    expect_at(ran, fmt::format("own.toml:{}", line));
    EXPECT_FALSE(fs::exists(shop() / "m")) << "nothing is left behind";
  }
}

TEST_F(BrokenFiles, HostileLayoutsAreErrorsNotCrashes) {
  const std::vector<std::string> hostile = {
      std::string(200'000, '['),
      "a = " + std::string(100'000, '['),
      "layout = 1\nsource = " + std::string(5'000, '[') + std::string(5'000, ']'),
      std::string(1000, '\0'),
      "layout = 1\n\xff\xfe = 1\n",
      "layout = 99999999999999999999999\n",
      "layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = [\"" + std::string(300'000, '*') +
          "\"]\nreader = \"blocks\"\n",
      std::string(2'000'000, ' ')};
  for (const std::string& text : hostile) {
    write_file(root() / "own.toml", text);
    const Ran ran = kw({"enroll", "m", "--layout", (root() / "own.toml").string()});
    EXPECT_EQ(ran.exit, 3) << text.substr(0, 60) << ran.err;
    EXPECT_THAT(ran.err, HasSubstr("own.toml"));
    EXPECT_FALSE(fs::exists(shop() / "m"));
  }
}

TEST_F(BrokenFiles, NamebookErrorsNameFileAndLine) {
  enroll_mill();
  const std::vector<std::pair<std::string, int>> broken = {
      {"adress\tname\n", 1},
      {"name\tunit\n", 1},
      {"address\tname\nparamters/1\tX\n", 2},
      {"# a remark\naddress\tname\tkind\nparameters/1\tX\tnumbr\n", 3},
      {"address\tname\tmin\nparameters/1\tX\t1,5\n", 2},
      {"address\tname\tmeaning\nparameters/1\tX\tno equals\n", 2},
      {"address\tname\tflags\nparameters/1\tX\tlivng\n", 2},
  };
  const std::string whole = read_file(repository("mill") / "namebook.tsv");
  for (const auto& [text, line] : broken) {
    SCOPED_TRACE(text);
    write_file(repository("mill") / "namebook.tsv", text);
    expect_at(kw({"history", "mill"}), fmt::format("namebook.tsv:{}", line));
  }
  write_file(repository("mill") / "namebook.tsv", whole);
  EXPECT_EQ(kw({"history", "mill"}).exit, 0);
}

TEST_F(BrokenFiles, MachineTomlErrorsNameFileAndLine) {
  enroll_mill();
  const std::string whole = read_file(repository("mill") / "machine.toml");
  for (const auto& [text, line] :
       std::vector<std::pair<std::string, int>>{{"machine = \"mill\nunits = 3", 1},
                                                {"machine = \"m\"\nunits = \"cubit\"\n", 2},
                                                {"machine = \"m\"\n\nserial = 4471\n", 3},
                                                {"[machine]\nname = 3\n", 1}}) {
    SCOPED_TRACE(text);
    write_file(repository("mill") / "machine.toml", text);
    expect_at(kw({"history", "mill"}), fmt::format("machine.toml:{}", line));
  }
  write_file(repository("mill") / "machine.toml", whole);
}

// `--all` of each command: the first of two machines fails, the other is done.
TEST_F(BrokenFiles, AllGoesOnPastAMachineThatCannotBeOpened) {
  enroll_lathe();
  enroll_mill();
  intake("mill", mill_files(), 0);
  const std::string whole = read_file(repository("lathe") / "machine.toml");
  write_file(repository("lathe") / "machine.toml", "machine = \"m\"\nunits = \"cubit\"\n");
  const fs::path pages = root() / "pages";
  for (const Args& args :
       std::vector<Args>{{"sync", "--all"}, {"tidy", "--all"}, {"report", "--all", "--to", pages.string()}}) {
    SCOPED_TRACE(args.front());
    const Ran ran = kw(args);
    expect_at(ran, "machine.toml:2");
    EXPECT_THAT(ran.err, HasSubstr("keepway: lathe: "));
    EXPECT_THAT(ran.out, HasSubstr("lathe  failed: "));
    EXPECT_THAT(ran.out, HasSubstr("machine.toml:2"));
    EXPECT_THAT(ran.out, HasSubstr("  what to do: "));
  }
  EXPECT_THAT(kw({"tidy", "--all"}).out, HasSubstr("mill  "));
  EXPECT_THAT(kw({"sync", "--all"}).out, HasSubstr("mill  has no remote"));
  EXPECT_TRUE(fs::exists(pages / "machines" / "mill" / "index.html"));
  EXPECT_FALSE(fs::exists(pages / "machines" / "lathe"));
  EXPECT_THAT(read_file(pages / "data" / "shop.js"), HasSubstr("cannot be read: "));

  const auto expect_told = [](const Json& failed) {
    EXPECT_EQ(failed.at("machine"), "lathe");
    EXPECT_THAT(failed.at("error").get<std::string>(), HasSubstr("machine.toml:2"));
    EXPECT_NE(failed.at("remedy"), "");
    EXPECT_EQ(failed.at("exit"), 3);
  };
  const Json tidied = json({"tidy", "--all"}, 3);
  EXPECT_TRUE(tidied.at("mill.bytes_after").is_number());
  expect_told(tidied.at("failed").at(0));
  expect_told(json({"report", "--all", "--to", pages.string(), "--replace"}, 3).at("failed").at(0));
  expect_told(json({"sync", "--all"}, 3).at("machines").at(1));
  EXPECT_EQ(kw({"tidy", "lathe", "mill"}).exit, 3);
  write_file(repository("lathe") / "machine.toml", whole);
}

TEST_F(BrokenFiles, AllAreAuditedButTheOneThatAnotherProgramWritesTo) {
  enroll_lathe();
  enroll_mill();
  const std::string lock = (repository("lathe") / ".git" / "keepway.lock").string();
  const int held = ::open(lock.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
  ASSERT_GE(held, 0);
  ASSERT_EQ(::flock(held, LOCK_EX), 0);
  const Json machines = json({"audit", "--all"}, 4).at("machines");
  ::close(held);
  ASSERT_EQ(machines.size(), 2U);
  EXPECT_EQ(machines[0].at("machine"), "mill");
  EXPECT_EQ(machines[0].at("exit"), 0);
  EXPECT_EQ(machines[1].at("machine"), "lathe");
  EXPECT_THAT(machines[1].at("error").get<std::string>(), HasSubstr("another program is writing"));
}

TEST_F(BrokenFiles, AnEditOfTheOwnersIsTakenAlongByTheNextIntake) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  write_file(repository("mill") / "namebook.tsv", "address\tname\nvariables/300\tParts made\n");
  intake("mill", mill_files(), 0);
  EXPECT_EQ(git(repository("mill"), {"show", "HEAD:namebook.tsv"}).out,
            "address\tname\nvariables/300\tParts made\n");
  EXPECT_EQ(object_id(repository("mill"), "HEAD:state"), object_id(repository("mill"), "HEAD~1:state"))
      << "better names do not rewrite history";
  EXPECT_EQ(json({"when", "mill", "parts made"}, 0).at("address"), "variables/300");
}

TEST_F(BrokenFiles, ARepositoryThatIsDamagedIsAFailureOfTheStore) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  const fs::path head = repository("mill") / ".git" / "HEAD";
  const std::string whole = read_file(head);
  write_file(head, "rubbish");
  EXPECT_EQ(kw({"history", "mill"}).exit, 4);
  write_file(head, whole);
  EXPECT_EQ(kw({"history", "mill"}).exit, 0);
}

// A history that cannot be read must never look like a machine without one.
TEST_F(BrokenFiles, AHistoryThatIsLostIsNotAnEmptyOne) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  const fs::path objects = repository("mill") / ".git" / "objects";
  fs::rename(objects, root() / "aside");
  fs::create_directories(objects);
  for (const Args& args :
       std::vector<Args>{{"history", "mill"}, {"show", "mill"}, {"changes", "mill"}, {"when", "mill", "x"}}) {
    const Ran ran = kw(args);
    EXPECT_EQ(ran.exit, 4) << args[0] << ran.out << ran.err;
    EXPECT_THAT(ran.err, HasSubstr("keepway audit"));
  }
  fs::remove_all(objects);
  fs::rename(root() / "aside", objects);
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").size(), 1U);
}

TEST_F(BrokenFiles, ACommitCheckedOutByHandStillHasItsHistory) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  intake("mill", mill_files(), 0);
  ASSERT_EQ(git(repository("mill"), {"checkout", "-q", "--detach", "HEAD~1"}).exit, 0);
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").size(), 1U);
  const Ran ran = kw({"intake", "mill", put(mill_files()).string()});
  EXPECT_EQ(ran.exit, 5) << "a backup on no branch would be lost";
  EXPECT_THAT(ran.err, HasSubstr("git checkout main"));
  ASSERT_EQ(git(repository("mill"), {"checkout", "-q", "main"}).exit, 0);
  EXPECT_EQ(json({"history", "mill"}, 0).at("backups").size(), 2U);
}

TEST_F(BrokenFiles, AWorkTreeThatWasMeddledWithIsPutRight) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  fs::remove_all(repository("mill") / "state");
  fs::remove_all(repository("mill") / "originals" / "mill.tbl");
  intake("mill", mill_files(), 0);
}

TEST_F(BrokenFiles, OwnersFileDeletedByMistakeIsStillThere) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  fs::remove(repository("mill") / "layout.toml");
  EXPECT_EQ(kw({"history", "mill"}).exit, 0);
  intake("mill", mill_files(), 0);
  EXPECT_NE(object_id(repository("mill"), "HEAD:layout.toml"), "")
      << "a backup keeps the layout it was read with";
  EXPECT_EQ(git(repository("mill"), {"checkout", "--", "layout.toml"}).exit, 0);
}

}  // namespace
}  // namespace scenario
