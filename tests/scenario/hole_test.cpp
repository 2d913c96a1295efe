// One object lost, whichever it is: every backup that does not need it is listed, shown and restored, what
// does is named, and the rest can be taken out.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <cstdlib>
#include <iostream>
#include <map>
#include <set>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class Hole : public ShopTest {
 protected:
  void TearDown() override {}  // broken on purpose

  void store(int count) {
    enroll_mill();
    for (int n = 1; n <= count; ++n) {
      files_.push_back(with(mill_files(), "O1001.ngc", "Z-.5", fmt::format("Z-.{}", 500 + n)));
      if (n % 3 == 0) files_.back()["note.txt"] = fmt::format("{}\n", n);
      if (n == count / 2 + 1) {  // from here on another layout and another title
        for (const char* each : {"layout.toml", "machine.toml"})
          write_file(repository("mill") / each, read_file(repository("mill") / each) + "# seen again\n");
      }
      const Ran ran = kw({"intake", "mill", put(files_.back()).string(), "--at", date(n)});
      ASSERT_LE(ran.exit, 1) << ran.out << ran.err;
    }
  }
  static std::string date(int n) {
    return fmt::format("2026-{:02}-{:02}", 1 + (n - 1) / 28, 1 + (n - 1) % 28);
  }
  [[nodiscard]] fs::path git_folder() const { return repository("mill") / ".git"; }
  [[nodiscard]] fs::path object(const std::string& id) const {
    return git_folder() / "objects" / id.substr(0, 2) / id.substr(2);
  }
  std::string commit_of(int number) {
    const Ran log = git(repository("mill"), {"log", "--format=%H %(trailers:key=Keepway-Backup,valueonly)"});
    for (const std::string& line : lines_of(log.out)) {
      if (line.ends_with(fmt::format(" {}", number))) return line.substr(0, 40);
    }
    return {};
  }
  Ran restore(const std::string& when) {
    fs::remove_all(root() / "back");
    return kw({"restore", "mill", "--at", when, "--to", (root() / "back").string()});
  }
  void expect_restored(const std::string& when, int number) {
    const Ran ran = restore(when);
    EXPECT_LE(ran.exit, 1) << when << ": " << ran.out << ran.err;
    if (ran.exit <= 1) {
      EXPECT_EQ(read_tree(root() / "back"), files_[static_cast<std::size_t>(number - 1)]) << when;
    }
  }

  Ran json_of(std::vector<std::string> args) {
    args.emplace_back("--json");
    return kw(args);
  }

  std::vector<Tree> files_;
};

TEST_F(Hole, ALostCommitHidesNoOtherBackup) {
  store(3);
  const std::string first = commit_of(1);
  const std::string second = commit_of(2);
  loosen("mill");
  fs::remove(object(second));
  for (const bool remembered : {true, false}) {
    SCOPED_TRACE(remembered);
    if (!remembered) {
      // Neither the index nor Git's logs: only the objects are left.
      fs::remove_all(git_folder() / "keepway");
      fs::remove_all(git_folder() / "logs");
    }
    const Ran history = kw({"history", "mill"});
    EXPECT_EQ(history.exit, 1) << history.err;
    EXPECT_THAT(history.err, HasSubstr(second)) << "it is not said";
    std::vector<int> numbers;
    const Json listed = json({"history", "mill"});
    for (const Json& each : listed.at("backups")) numbers.push_back(each.at("number").get<int>());
    EXPECT_EQ(numbers, (std::vector<int>{3, 1}));
    expect_restored("#1", 1);
    expect_restored("#3", 3);
    expect_restored(first, 1);
    expect_restored(date(1), 1);
    expect_restored(date(3), 3);
    EXPECT_GE(restore("#2").exit, 2);
    const Ran more = kw({"intake", "mill", put(files_[0]).string(), "--at", "2026-05-01"});
    EXPECT_EQ(more.exit, 5) << more.out << more.err;
    EXPECT_THAT(more.err, HasSubstr("audit"));
  }
  const Ran accepted = kw({"intake", "mill", put(files_[0]).string(), "--at", "2026-05-01", "--accept"});
  EXPECT_LE(accepted.exit, 1) << accepted.out << accepted.err;
}

// The answer but for what it had to do without.
Json without_lost(const Ran& ran) {
  Json answer = Json::parse(ran.out);
  answer.erase("lost");
  return answer;
}

// The objects to lose: all, or of each path one; of commits and their trees the first, one between and the
// last.
std::vector<std::string> chosen(const std::vector<std::string>& all, bool every) {
  if (every) return all;
  std::map<std::string, std::vector<std::string>> by_path;
  for (const std::string& line : all) by_path[line.substr(40)].push_back(line);
  std::vector<std::string> out;
  for (const auto& [path, lines] : by_path) {
    if (path.size() < 2) out.insert(out.end(), {lines.front(), lines.back()});
    out.push_back(lines[lines.size() / 2]);
  }
  return out;
}

TEST_F(Hole, WhateverObjectIsLostOnlyWhatNeedsItIsLost) {
  const bool is_long = std::getenv("KEEPWAY_LONG_TESTS") != nullptr;
  const int count = is_long ? 50 : 6;
  store(count);
  std::map<std::string, std::set<int>> needed_by;  // what a restore reads: commit, its tree, the originals
  std::map<std::string, int> commits;
  std::map<int, Json> shown;
  for (int n = 1; n <= count; ++n) {
    const std::string commit = commit_of(n);
    commits[commit] = n;
    for (const char* each : {"", "^{tree}"})
      needed_by[object_id(repository("mill"), commit + each)].insert(n);
    for (const std::string& line :
         lines_of(git(repository("mill"), {"ls-tree", "-rt", commit, "originals"}).out)) {
      needed_by[line.substr(12, 40)].insert(n);
    }
    shown[n] = json({"show", "mill", "--at", fmt::format("#{}", n)}, 0);
  }
  const Json when = json({"when", "mill", "programs/O1001"});
  loosen("mill");
  fs::copy(git_folder(), root() / "whole", fs::copy_options::recursive);
  const auto all = lines_of(git(repository("mill"), {"rev-list", "--objects", "--all"}).out);
  std::size_t tried = 0;
  for (const std::string& line : chosen(all, is_long)) {
    const std::string id = line.substr(0, 40);
    SCOPED_TRACE(line);
    ++tried;
    fs::remove_all(git_folder());
    fs::copy(root() / "whole", git_folder(), fs::copy_options::recursive);
    if (tried % 2 == 0) fs::remove_all(git_folder() / "keepway" / "cache");
    fs::remove(object(id));
    const std::set<int> lost = needed_by.contains(id) ? needed_by[id] : std::set<int>();
    for (int n = 1; n <= count; ++n) {
      const std::string name = fmt::format("#{}", n);
      if (!lost.contains(n)) {
        expect_restored(name, n);
      } else {
        const Ran ran = restore(name);
        EXPECT_GE(ran.exit, 2) << n << " came back from nowhere";
      }
      if (is_long && n != count / 2 && n != count) continue;
      const Ran ran = kw({"show", "mill", "--at", name, "--json"});
      EXPECT_LE(ran.exit, 4) << ran.out << ran.err;
      if (!lost.contains(n)) {
        EXPECT_LE(ran.exit, 1) << ran.out << ran.err;
      }
      if (ran.exit <= 1) {
        EXPECT_EQ(without_lost(ran), shown[n]) << "another value";
      }
    }
    const Ran later = kw({"when", "mill", "programs/O1001", "--json"});
    if (!needed_by.contains(id)) {
      EXPECT_LE(later.exit, 1) << later.err;
      if (later.exit <= 1) {
        EXPECT_EQ(without_lost(later), when);
      }
    }
    const Json history = json({"history", "mill"});
    EXPECT_EQ(history.at("backups").size(), static_cast<std::size_t>(count) - commits.count(id));
    const Json audit = json({"audit", "mill"}, 4);
    std::set<int> named;
    std::string said;
    for (const Json& finding : audit.at("machines").at(0).at("findings")) {
      if (finding.at("what").get<std::string>().find(id) == std::string::npos) continue;
      said += finding.at("what").get<std::string>() + "\n";
      for (const Json& backup : finding.at("backups")) named.insert(backup.at("number").get<int>());
    }
    EXPECT_FALSE(said.empty()) << "the audit does not name it: " << audit.dump(1);
    EXPECT_THAT(said, testing::Not(HasSubstr("can no longer be reached")));
    if (commits.contains(id)) {
      const int n = commits[id];
      EXPECT_THAT(said, HasSubstr(n == count ? fmt::format("after #{} is lost", n - 1)
                                             : fmt::format("backup #{} of main is lost", n)));
    } else {
      EXPECT_TRUE(std::includes(named.begin(), named.end(), lost.begin(), lost.end())) << said;
    }
    if (is_long && tried % 20 == 0) std::cout << fmt::format("[ objects  ] {} lost\n", tried) << std::flush;
    // The card is printed, and the next backup is stored whole or refused with the way out.
    const Ran card = kw({"sheet", "mill", "--to", (root() / "card.html").string(), "--replace"});
    EXPECT_LE(card.exit, 1) << card.err;
    const Tree more = with(mill_files(), "O1001.ngc", "Z-.5", "Z-.9");
    const Ran next = kw({"intake", "mill", put(more).string(), "--at", "2026-10-01"});
    if (next.exit > 1) {
      EXPECT_EQ(next.exit, 5) << next.out << next.err;
      EXPECT_THAT(next.err, HasSubstr("--from"));
    } else {
      const Ran back = restore("2026-10-01");
      EXPECT_LE(back.exit, 1) << back.err;
      if (back.exit <= 1) {
        EXPECT_EQ(read_tree(root() / "back"), more);
      }
    }
    if (HasFailure() && !is_long) break;
  }
  std::cout << fmt::format("[ objects  ] {} of {} lost in turn\n", tried, all.size());
}

// Whole files of such a backup are as they were; no value of it is put into others, and this is said.
TEST_F(Hole, ALayoutThatIsLostIsNotGuessed) {
  store(4);
  const std::string layout = object_id(repository("mill"), commit_of(1) + ":layout.toml");
  loosen("mill");
  fs::remove(object(layout));
  const Ran whole = restore("#1");
  EXPECT_EQ(whole.exit, 1) << whole.out << whole.err;
  EXPECT_THAT(whole.err, HasSubstr("listed as today's layout"));
  EXPECT_EQ(read_tree(root() / "back"), files_[0]);
  for (const char* only : {"variables", "variables/300"}) {
    const Ran part =
        kw({"restore", "mill", "--at", "#1", "--only", only, "--to", (root() / "part").string()});
    EXPECT_EQ(part.exit, 4) << only << part.out << part.err;
    EXPECT_THAT(part.err, HasSubstr(layout));
    EXPECT_FALSE(fs::exists(root() / "part"));
  }
  // Of the newer ones the same file is in the machine's folder, and its id proves it.
  const std::string newer = object_id(repository("mill"), commit_of(4) + ":layout.toml");
  fs::remove(object(newer));
  const Ran one =
      kw({"restore", "mill", "--at", "#3", "--only", "programs/O1001", "--to", (root() / "one").string()});
  EXPECT_EQ(one.exit, 1) << one.out << one.err;
  EXPECT_THAT(one.err, HasSubstr(newer));
  EXPECT_EQ(read_file(root() / "one" / "O1001.ngc"), files_[2].at("O1001.ngc"));
}

TEST_F(Hole, AStateThatIsLostIsMadeAgainAndProved) {
  store(3);
  const std::string programs = object_id(repository("mill"), commit_of(2) + ":state/programs");
  loosen("mill");
  fs::remove(object(programs));
  const Ran shown = kw({"show", "mill", "programs/O1001", "--at", "#2"});
  EXPECT_EQ(shown.exit, 1) << shown.err;
  EXPECT_THAT(shown.err, HasSubstr("made again from the originals"));
  EXPECT_THAT(shown.out, HasSubstr("Z-.502"));
  const Ran changes = kw({"changes", "mill", "1", "2"});
  EXPECT_EQ(changes.exit, 1) << changes.out << changes.err;
  EXPECT_THAT(changes.out, testing::AllOf(HasSubstr("Z-0.501"), HasSubstr("Z-0.502")));
  const Ran one =
      kw({"restore", "mill", "--at", "#2", "--only", "programs/O1001", "--to", (root() / "one").string()});
  EXPECT_EQ(one.exit, 1) << one.out << one.err;
  EXPECT_EQ(read_file(root() / "one" / "O1001.ngc"), files_[1].at("O1001.ngc"));
  const Ran page = kw({"report", "mill", "--to", (root() / "report").string()});
  EXPECT_LE(page.exit, 1) << page.out << page.err;
}

// Another backup of the same files is whole though what it shares with the last is lost.
TEST_F(Hole, AnIntakeStoresAgainWhatIsLost) {
  store(2);
  std::vector<std::string> shared;
  for (const char* path : {"originals/mill.tbl", "layout.toml", "state/offsets.tsv"})
    shared.push_back(object_id(repository("mill"), std::string("HEAD:") + path));
  loosen("mill");
  fs::copy(git_folder(), root() / "whole", fs::copy_options::recursive);
  for (const std::string& id : shared) {
    SCOPED_TRACE(id);
    fs::remove_all(git_folder());
    fs::copy(root() / "whole", git_folder(), fs::copy_options::recursive);
    fs::remove(object(id));
    const Tree files = with(files_[1], "mill.var", "301\t-3.5", "301\t-3.625");
    const Ran next = kw({"intake", "mill", put(files).string(), "--at", "2026-06-01"});
    EXPECT_LE(next.exit, 1) << next.out << next.err;
    fs::remove_all(root() / "back");
    const Ran back = kw({"restore", "mill", "--at", "2026-06-01", "--to", (root() / "back").string()});
    EXPECT_EQ(back.exit, 0) << back.err;
    EXPECT_EQ(read_tree(root() / "back"), files);
    EXPECT_TRUE(git(repository("mill"), {"status", "--porcelain"}).out.empty());
    const Ran needs = git(repository("mill"), {"rev-list", "--objects", "--no-walk", "HEAD"});
    EXPECT_EQ(needs.exit, 0) << needs.err;
  }
}

// Nothing can be built on a folder that is not there: what is lost, what still works and what to type is
// said.
TEST_F(Hole, AnIntakeOnALostFolderSaysWhatToDo) {
  store(3);
  loosen("mill");
  fs::copy(git_folder(), root() / "whole", fs::copy_options::recursive);
  const std::string tip = object_id(repository("mill"), "HEAD");
  const std::map<std::string, std::string> words = {{"HEAD", "is lost"},
                                                    {"HEAD^{tree}", "has lost its list of files"},
                                                    {"HEAD:state", "has lost its folder state/"},
                                                    {"HEAD:state/programs", "its folder state/programs/"},
                                                    {"HEAD:originals", "its folder originals/"}};
  for (const auto& [lost, said] : words) {
    SCOPED_TRACE(lost);
    fs::remove_all(git_folder());
    fs::copy(root() / "whole", git_folder(), fs::copy_options::recursive);
    const std::string id = object_id(repository("mill"), lost);
    fs::remove(object(id));
    const Tree files = with(files_[2], "mill.var", "301\t-3.5", "301\t-3.625");
    const std::vector<std::vector<std::string>> writing = {
        {"intake", "mill", put(files).string(), "--at", "2026-06-01"},
        {"intake", "mill", put(files).string(), "--at", "2026-06-01", "--accept"},
    };
    for (const auto& args : writing) {
      const Ran ran = kw(args);
      EXPECT_EQ(ran.exit, 5) << ran.out << ran.err;
      EXPECT_THAT(ran.err, testing::AllOf(HasSubstr(tip.substr(0, 10)), HasSubstr(said),
                                          HasSubstr("keepway audit mill --from"), HasSubstr("--rescue"),
                                          HasSubstr("keepway history mill")));
      EXPECT_THAT(ran.err, testing::Not(HasSubstr("harm")));
    }
    EXPECT_EQ(object_id(repository("mill"), "refs/heads/main"), tip);
    expect_restored("#2", 2);
  }
}

// One that lost a file of the newest backup is judged by values alone, and stored.
TEST_F(Hole, AnIntakeGoesAroundALostOriginal) {
  store(2);
  const std::string blob = object_id(repository("mill"), "HEAD:originals/O1001.ngc");
  loosen("mill");
  fs::remove(object(blob));
  const Tree files = with(mill_files(), "O1001.ngc", "Z-.5", "Z-.7");
  const Ran ran = kw({"intake", "mill", put(files).string(), "--at", "2026-06-01"});
  EXPECT_EQ(ran.exit, 1) << ran.out << ran.err;
  EXPECT_THAT(ran.err, HasSubstr("files of backup #2 are lost in part"));
  EXPECT_THAT(ran.out, HasSubstr("Stored as backup #3"));
  const Ran back = restore("#3");
  EXPECT_LE(back.exit, 1) << back.err;
  EXPECT_EQ(read_tree(root() / "back"), files);
  EXPECT_EQ(git(repository("mill"), {"rev-list", "--objects", "--no-walk", "HEAD"}).exit, 0);
}

TEST_F(Hole, TheCardSaysWhatIsMissing) {
  store(2);
  loosen("mill");
  fs::copy(git_folder(), root() / "whole", fs::copy_options::recursive);
  for (const char* lost : {"HEAD:originals/O1001.ngc", "HEAD:originals", "HEAD^{tree}"}) {
    SCOPED_TRACE(lost);
    fs::remove_all(git_folder());
    fs::copy(root() / "whole", git_folder(), fs::copy_options::recursive);
    fs::remove(object(object_id(repository("mill"), lost)));
    const fs::path card = root() / "card.html";
    const Ran ran = kw({"sheet", "mill", "--to", card.string(), "--replace", "--json"});
    EXPECT_EQ(ran.exit, 1) << ran.out << ran.err;
    EXPECT_THAT(ran.err, HasSubstr("files of backup #2 are lost"));
    EXPECT_EQ(Json::parse(ran.out).at("lost").at(0).at("backups"), Json::array({"#2"}));
    const std::string page = read_file(card);
    EXPECT_THAT(page, HasSubstr("Files of this backup are lost"));
    EXPECT_THAT(page, HasSubstr("keepway audit mill"));
    if (lost == std::string("HEAD:originals/O1001.ngc")) {
      EXPECT_THAT(page, HasSubstr("<code>O1001.ngc</code> (lost from what is stored)"));
      EXPECT_THAT(page, HasSubstr("<code>O1000.ngc</code> 91"));
    }
  }
}

TEST_F(Hole, WhatWasGoneAroundIsInTheJson) {
  store(4);
  const std::string second = commit_of(2);
  const std::string state = object_id(repository("mill"), commit_of(3) + ":state");
  const std::string program = object_id(repository("mill"), commit_of(1) + ":originals/O1001.ngc");
  loosen("mill");
  const std::vector<std::vector<std::string>> commands = {
      {"history", "mill"},
      {"show", "mill", "programs/O1001", "--at", "#3"},
      {"show", "mill", "programs/O1001", "--at", "#1"},
      {"changes", "mill", "1", "3"},
      {"when", "mill", "programs/O1001"},
      {"report", "mill", "--replace", "--to", (root() / "report").string()},
  };
  for (const auto& args : commands)
    EXPECT_FALSE(Json::parse(json_of(args).out).contains("lost")) << args.front();
  // Each command has met the first, which lies on the line; what else it meets depends on what it reads.
  fs::remove(object(second));
  fs::remove(object(state));
  fs::remove(object(program));
  fs::remove_all(git_folder() / "keepway" / "cache");
  std::set<std::string> touched;
  for (const auto& args : commands) {
    SCOPED_TRACE(fmt::format("{} {}", args.front(), args.back()));
    const Ran ran = json_of(args);
    EXPECT_EQ(ran.exit, 1) << ran.err;
    const Json answer = Json::parse(ran.out);
    ASSERT_TRUE(answer.contains("lost")) << ran.err;
    for (const Json& each : answer.at("lost")) {
      EXPECT_EQ(each.at("machine"), "mill");
      EXPECT_THAT(ran.err, HasSubstr(each.at("what").get<std::string>()));
      if (each.at("what").get<std::string>().find(second) != std::string::npos) {
        EXPECT_EQ(each.at("backups"), Json::array({"#2"}));
      }
      for (const Json& name : each.at("backups")) touched.insert(name.get<std::string>());
    }
  }
  EXPECT_EQ(touched, (std::set<std::string>{"#1", "#2", "#3"}));
}

TEST_F(Hole, WhatWasSaidOfABackupIsRescuedWithIt) {
  store(3);
  ASSERT_EQ(kw({"mark", "mill", "known good", "1"}).exit, 0);
  ASSERT_EQ(kw({"withdraw", "mill", "2", "--why", "the other mill's"}).exit, 0);
  ASSERT_EQ(
      kw({"correct", "mill", "3", "--at", "2026-02-27T06:30:00Z", "--by", "Cy", "--note", "service"}).exit,
      0);
  ASSERT_EQ(kw({"trial", "mill", "begin", "feeds"}).exit, 0);
  ASSERT_LE(kw({"intake", "mill", put(files_.back()).string(), "--at", date(5)}).exit, 1);
  ASSERT_EQ(kw({"trial", "mill", "drop", "feeds"}).exit, 0);
  const fs::path to = root() / "rescued";
  ASSERT_LE(kw({"audit", "mill", "--rescue", to.string()}).exit, 1);
  std::map<std::string, std::string> line;  // by what it says
  for (const std::string& each : lines_of(read_file(to / "RESCUED.tsv"))) {
    for (const char* said : {"known good", "withdrawn: the other mill's", "Cy\tservice", "\tfeeds"}) {
      if (each.find(said) != std::string::npos) line[said] = each;
    }
  }
  EXPECT_EQ(line["known good"].substr(0, 2), "1\t");
  EXPECT_EQ(line["withdrawn: the other mill's"].substr(0, 2), "2\t");
  EXPECT_THAT(line["Cy\tservice"], HasSubstr("3\t2026-02-27T06:30:00Z"));
  EXPECT_NE(line["\tfeeds"], "");
  // A drawer of it has the times, too.
  ASSERT_EQ(kw({"enroll", "again", "--layout", "rs274ngc"}).exit, 0);
  ASSERT_LE(kw({"pile", "again", to.string()}).exit, 1);
  EXPECT_THAT(kw({"history", "again", "--json"}).out, HasSubstr("2026-02-27T06:30:00Z"));
}

TEST_F(Hole, TheRestIsRescued) {
  store(4);
  const std::string second = commit_of(2);
  const std::string blob = object_id(repository("mill"), commit_of(3) + ":originals/O1001.ngc");
  loosen("mill");
  fs::remove(object(second));
  fs::remove(object(blob));
  fs::remove_all(git_folder() / "logs");
  const fs::path to = root() / "rescued";
  const Ran ran = kw({"audit", "mill", "--rescue", to.string()});
  EXPECT_EQ(ran.exit, 1) << ran.out << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("with a hand on the emergency stop"));
  std::map<int, Tree> got;
  for (const auto& entry : fs::directory_iterator(to)) {
    if (entry.is_directory() && entry.path().filename() != "unnamed")
      got[std::atoi(entry.path().filename().c_str())] = read_tree(entry.path());
  }
  Tree third = files_[2];
  third.erase("O1001.ngc");
  EXPECT_EQ(got, (std::map<int, Tree>{{1, files_[0]}, {3, third}, {4, files_[3]}}));
  EXPECT_THAT(read_file(to / "RESCUED.tsv"), HasSubstr("originals/O1001.ngc"));
  EXPECT_TRUE(fs::exists(to / "machine.toml"));
  // Of the second, the file that no other backup has.
  const std::string program = files_[1].at("O1001.ngc");
  bool found = false;
  for (const auto& entry : fs::directory_iterator(to / "unnamed"))
    found = found || read_file(entry.path()) == program;
  EXPECT_TRUE(found);
  EXPECT_EQ(kw({"audit", "mill", "--rescue", to.string()}).exit, 5) << "a folder with files in it";
}

}  // namespace
}  // namespace scenario
