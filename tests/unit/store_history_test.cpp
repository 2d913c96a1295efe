// Reading back, lines, marks, refs, and two programs at once; git is the reference. Invented data.
#include <fmt/format.h>
#include <sys/resource.h>
#include <unistd.h>

#include <csignal>

#include "git/lock.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

class StoreHistory : public StoreTest {};

TEST_F(StoreHistory, WalkAgreesWithGit) {
  Repository repository = made();
  for (int i = 0; i < 40; ++i) {
    const std::string text = std::to_string(i);
    add(repository, {{"state/a", text}}, "Backup " + text);
    if (i % 10 == 5) {
      const Oid tip = *repository.resolve("main");
      repository.begin_line("side" + text, tip);
      NewCommit merge = said("Merge");
      merge.also_parents = {repository.add("side" + text, {}, {{"state/b", text}}, said("Side"))};
      repository.add("main", {}, {}, merge);
    }
  }
  const Oid tip = *repository.resolve("main");
  std::string walked;
  repository.walk(tip, [&](const CommitInfo& commit) {
    walked += commit.id + " " + commit.summary + "\n";
    return true;
  });
  EXPECT_EQ(walked, git("log --first-parent --format='%H %s'"));
  EXPECT_EQ(fmt::format("{}\n", repository.first_parent_count(tip)),
            git("rev-list --count --first-parent main"));
  int visits = 0;
  repository.walk(tip, [&](const CommitInfo&) { return ++visits < 3; });
  EXPECT_EQ(visits, 3);
}

TEST_F(StoreHistory, ListAgreesWithGit) {
  Repository repository = made();
  const Oid id =
      add(repository, {{"state/a", "1"}, {"state/a-b", "2"}, {"state/sub/x", "3"}, {"stately", "4"}});
  const auto listed = [&](const std::string& prefix) {
    std::string out;
    for (const Blob& blob : repository.list(id, prefix)) out += blob.id + "\t" + blob.path + "\n";
    return out;
  };
  EXPECT_EQ(listed(""), git("ls-tree -r --format='%(objectname)%x09%(path)' HEAD"));
  EXPECT_EQ(listed("state/"), git("ls-tree -r --format='%(objectname)%x09%(path)' HEAD state/"));
  EXPECT_EQ(listed("state/sub/"), git("ls-tree -r --format='%(objectname)%x09%(path)' HEAD state/sub/"));
  EXPECT_EQ(listed("none/"), "");
  EXPECT_EQ(listed("machine.toml/"), "");
  EXPECT_EQ(*repository.id_at(id, "state") + "\n", git("rev-parse HEAD:state"));
  EXPECT_EQ(*repository.id_at(id, "") + "\n", git("rev-parse HEAD^{tree}"));
  EXPECT_EQ(repository.id_at(id, "state/none"), std::nullopt);
  EXPECT_EQ(repository.read_at(id, "state"), std::nullopt);
}

TEST_F(StoreHistory, ResolvesRevisionsAndNothingElse) {
  Repository repository = made();
  const Oid root = *repository.resolve("main");
  const Oid id = add(repository, {{"state/a", "1"}});
  repository.mark("after ballscrew", root, "Ida", 5);
  EXPECT_EQ(repository.resolve(id), id);
  EXPECT_EQ(repository.resolve(id.substr(0, 12)), id);
  EXPECT_EQ(repository.resolve("HEAD~1"), root);
  EXPECT_EQ(repository.resolve("after ballscrew"), root);
  EXPECT_EQ(repository.resolve("after_ballscrew"), root);
  for (const std::string& none :
       std::vector<std::string>{"", "none", "HEAD~5", "HEAD~99999999999999999999", "main^{blob}",
                                "HEAD:state", "@{", "^", "a..b", "main@{yesterday", ":/[", "HEAD^{/(}",
                                std::string(40, '0'), std::string("HEAD\0x", 6), std::string(9000, '~')}) {
    EXPECT_EQ(repository.resolve(none), std::nullopt) << none;
  }
  EXPECT_EQ(failure_of([&] { (void)repository.info("xyz"); }), ErrorKind::usage);
  EXPECT_EQ(failure_of([&] { (void)repository.info(std::string(40, 'a')); }), ErrorKind::store);
  EXPECT_EQ(failure_of([&] { (void)repository.read(id); }), ErrorKind::usage);
}

TEST_F(StoreHistory, MarksAreAnnotatedTags) {
  Repository repository = made();
  const Oid root = *repository.resolve("main");
  const Oid id = add(repository, {{"state/a", "1"}});
  repository.mark("after ballscrew", root, "Ida <x>", 500);
  repository.mark("after ballscrew", root, "Ida", 500);
  EXPECT_EQ(failure_of([&] { repository.mark("after ballscrew", id, "Ida", 1); }), ErrorKind::refused);
  EXPECT_EQ(failure_of([&] { repository.mark("after_ballscrew", id, "Ida", 1); }), ErrorKind::refused);
  repository.mark("known-good", id, "", 1);
  git("tag light " + root);
  git("tag tree HEAD^{tree}");
  const auto marks = repository.marks();
  ASSERT_EQ(marks.size(), 3U);
  EXPECT_EQ(marks[0].name, "after ballscrew");
  EXPECT_EQ(marks[0].commit, root);
  EXPECT_EQ(marks[1].name, "known-good");
  EXPECT_EQ(marks[2].name, "light");
  EXPECT_EQ(git("for-each-ref --format='%(objecttype) %(taggername) %(taggerdate:unix) %(contents:subject)' "
                "refs/tags/after_ballscrew"),
            "tag Ida x 500 after ballscrew\n");
  for (const std::string& bad :
       std::vector<std::string>{"", "a:b", "a~b", "a..b", "-a", ".a", "a.lock", "a\nb", "a/", "@{x", "a\\b",
                                std::string("a\0b", 3)}) {
    EXPECT_EQ(failure_of([&] { repository.mark(bad, id, "Ida", 1); }), ErrorKind::usage) << bad;
  }
  EXPECT_EQ(git("fsck --strict --no-progress --no-dangling"), "");
}

TEST_F(StoreHistory, LinesBeginSwitchAndGo) {
  Repository repository = made();
  const Oid base = add(repository, {{"state/a", "1"}, {"originals/gone", "x"}});
  repository.begin_line("trial/feeds", base);
  EXPECT_EQ(failure_of([&] { repository.begin_line("trial/feeds", base); }), ErrorKind::refused);
  EXPECT_EQ(failure_of([&] { repository.begin_line("a b", base); }), ErrorKind::usage);
  EXPECT_EQ(failure_of([&] { repository.begin_line("../x", base); }), ErrorKind::usage);
  const Oid side =
      repository.add("trial/feeds", {"originals/"}, {{"state/a", "2"}, {"state/new/b", "3"}}, said("Try"));
  EXPECT_EQ(on_disk("state/a"), "1");
  expect_sound();
  const auto lines = repository.lines();
  ASSERT_EQ(lines.size(), 2U);
  EXPECT_EQ(lines[0].tip, base);
  EXPECT_EQ(lines[1].name, "trial/feeds");
  EXPECT_EQ(lines[1].tip, side);
  repository.switch_line("trial/feeds");
  EXPECT_EQ(repository.line(), "trial/feeds");
  EXPECT_EQ(on_disk("state/a"), "2");
  EXPECT_EQ(on_disk("state/new/b"), "3");
  EXPECT_FALSE(std::filesystem::exists(folder_ / "originals"));
  expect_sound();
  EXPECT_EQ(failure_of([&] { repository.drop_line("trial/feeds"); }), ErrorKind::refused);
  repository.switch_line("main");
  EXPECT_FALSE(std::filesystem::exists(folder_ / "state/new"));
  EXPECT_EQ(on_disk("originals/gone"), "x");
  expect_sound();
  repository.drop_line("trial/feeds");
  EXPECT_EQ(failure_of([&] { repository.drop_line("trial/feeds"); }), ErrorKind::usage);
  EXPECT_EQ(failure_of([&] { repository.switch_line("none"); }), ErrorKind::usage);
  EXPECT_EQ(repository.lines().size(), 1U);
}

TEST_F(StoreHistory, SwitchKeepsEditsMadeByHand) {
  Repository repository = made();
  repository.begin_line("trial", *repository.resolve("main"));
  repository.add("trial", {}, {{"machine.toml", "trial\n"}, {"new.txt", "trial"}}, said("Try"));
  put_on_disk("layout.toml", "by hand\n");
  repository.switch_line("trial");
  EXPECT_EQ(on_disk("layout.toml"), "by hand\n");
  repository.switch_line("main");
  put_on_disk("machine.toml", "by hand\n");
  EXPECT_EQ(failure_of([&] { repository.switch_line("trial"); }), ErrorKind::refused);
  EXPECT_EQ(on_disk("machine.toml"), "by hand\n");
  EXPECT_EQ(repository.line(), "main");
  git("checkout -q -- machine.toml");
  put_on_disk("new.txt", "mine");
  EXPECT_EQ(failure_of([&] { repository.switch_line("trial"); }), ErrorKind::refused);
  EXPECT_EQ(on_disk("new.txt"), "mine");
}

TEST_F(StoreHistory, RefsOfItsOwn) {
  Repository repository = made();
  const Oid id = *repository.resolve("main");
  repository.set_ref("refs/keepway/last/a", id);
  repository.set_ref("refs/keepway/last/b", id);
  repository.set_ref("refs/keepway/last/b", id);
  EXPECT_EQ(git("for-each-ref --format='%(refname)' refs/keepway"),
            "refs/keepway/last/a\nrefs/keepway/last/b\n");
  ASSERT_EQ(repository.refs("refs/keepway/last/").size(), 2U);
  repository.remove_ref("refs/keepway/last/a");
  repository.remove_ref("refs/keepway/last/a");
  EXPECT_EQ(repository.refs("refs/keepway/").size(), 1U);
  EXPECT_EQ(failure_of([&] { repository.set_ref("refs/heads/main", id); }), ErrorKind::usage);
  EXPECT_EQ(failure_of([&] { repository.remove_ref("refs/heads/main"); }), ErrorKind::usage);
  EXPECT_EQ(failure_of([&] { repository.set_ref("refs/keepway/../heads/x", id); }), ErrorKind::usage);
}

TEST_F(StoreHistory, TheLockNamesItsOwnerAndDiesWithIt) {
  Repository repository = made();
  int ready[2];
  int hold[2];
  ASSERT_EQ(pipe(ready), 0);
  ASSERT_EQ(pipe(hold), 0);
  const pid_t child = fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    const Lock lock(folder_ / ".git");
    char byte = 'r';
    (void)!write(ready[1], &byte, 1);
    (void)!read(hold[0], &byte, 1);
    _exit(0);
  }
  char byte = 0;
  ASSERT_EQ(read(ready[0], &byte, 1), 1);
  const Oid tip = *repository.resolve("main");
  try {
    add(repository, {{"state/a", "1"}});
    ADD_FAILURE() << "the lock did not hold";
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::store);
    EXPECT_NE(std::string(error.what()).find(fmt::format("process {} on", child)), std::string::npos)
        << error.what();
  }
  EXPECT_EQ(repository.resolve("main"), tip);
  kill(child, SIGKILL);
  int status = 0;
  waitpid(child, &status, 0);
  for (const int fd : {ready[0], ready[1], hold[0], hold[1]}) close(fd);
  add(repository, {{"state/a", "1"}});
  expect_sound();
}

TEST_F(StoreHistory, ProgramsAtOnceNeverInterleave) {
  made();
  std::vector<pid_t> children;
  for (int who = 0; who < 4; ++who) {
    const pid_t child = fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      int done = 0;
      const std::string name = std::to_string(who);
      while (done < 5) {
        try {
          Repository repository = Repository::open(folder_);
          add(repository, {{"state/a", name}, {"originals/" + name, name}}, name);
          ++done;
        } catch (const Error& error) {
          if (std::string(error.what()).find("another program") == std::string::npos) _exit(1);
          usleep(2000);
        }
      }
      _exit(0);
    }
    children.push_back(child);
  }
  for (const pid_t child : children) {
    int status = 0;
    waitpid(child, &status, 0);
    EXPECT_EQ(status, 0);
  }
  EXPECT_EQ(git("rev-list --count main"), "21\n");
  expect_sound();
}

TEST_F(StoreHistory, ALineThatGitHoldsFastIsAnErrorAndNothingLands) {
  Repository repository = made();
  const Oid tip = *repository.resolve("main");
  put_on_disk(".git/refs/heads/main.lock", "");
  {
    const LivingGit holder(folder_, top_ / "said");
    EXPECT_EQ(failure_of([&] { add(repository, {{"state/a", "1"}}); }), ErrorKind::store);
  }
  std::filesystem::remove(folder_ / ".git/refs/heads/main.lock");
  EXPECT_EQ(repository.resolve("main"), tip);
  EXPECT_EQ(git("status --porcelain"), "");
  add(repository, {{"state/a", "1"}});
  expect_sound();
}

TEST_F(StoreHistory, AHeldIndexDoesNotLoseTheCommit) {
  Repository repository = made();
  put_on_disk(".git/index.lock", "");
  const LivingGit holder(folder_, top_ / "said");
  const Oid id = add(repository, {{"state/a", "1"}});
  EXPECT_NE(repository.work_tree_trouble(), "");
  EXPECT_EQ(repository.resolve("main"), id);
  std::filesystem::remove(folder_ / ".git/index.lock");
  EXPECT_EQ(Repository::open(folder_).work_tree_trouble(), "");
  expect_sound();
}

// Runs `work` in a process of its own, so that it can be limited or killed.
template <typename Work>
pid_t in_child(Work work) {
  const pid_t child = fork();
  if (child == 0) {
    work();
    _exit(0);
  }
  return child;
}

TEST_F(StoreHistory, ADiskThatTakesNoMoreLeavesAllAsItWas) {
  const Repository repository = made();
  const Oid tip = *repository.resolve("main");
  for (const bool packed : {false, true}) {
    const pid_t child = in_child([&] {
      std::signal(SIGXFSZ, SIG_IGN);
      const rlimit limit{20'000, 20'000};
      setrlimit(RLIMIT_FSIZE, &limit);
      std::string noise;  // does not deflate below the limit
      unsigned seed = 7;
      while (noise.size() < 100'000)
        noise += static_cast<char>((seed = seed * 1664525U + 1013904223U) >> 24U);
      std::vector<TreeFile> files = {{"originals/noise", noise}};
      for (int i = 0; packed && i < 20; ++i)
        files.push_back({"originals/" + std::to_string(i), {noise.data(), 9U + i}});
      try {
        Repository own = Repository::open(folder_);
        add(own, files);
      } catch (const Error& error) {
        _exit(error.kind() == ErrorKind::store && !error.remedy().empty() ? 4 : 5);
      }
    });
    int status = 0;
    waitpid(child, &status, 0);
    EXPECT_EQ(WEXITSTATUS(status), 4);
    EXPECT_EQ(Repository::open(folder_).resolve("main"), tip);
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder_ / ".git/objects")) {
      EXPECT_FALSE(entry.path().filename().string().starts_with("keepway-new-")) << entry.path();
    }
    expect_sound();
  }
}

TEST_F(StoreHistory, AKillAtAnyMomentLeavesBeforeOrAfter) {
  made();
  unsigned seed = 11;
  for (int round = 0; round < 15; ++round) {
    int started[2];
    ASSERT_EQ(pipe(started), 0);
    const pid_t child = in_child([&] {
      Repository own = Repository::open(folder_);
      (void)!write(started[1], "s", 1);
      for (int i = 0;; ++i) {
        const std::string text = fmt::format("{} {}", round, i);
        std::vector<TreeFile> files = {{"state/a", text}, {"machine.toml", text}};
        for (int f = 0; f < 12; ++f) files.push_back({fmt::format("originals/{}", f * (i % 3 + 1)), text});
        files.erase(files.begin() + 2 + i % 12);
        add(own, files, text);
      }
    });
    char byte = 0;
    ASSERT_EQ(read(started[0], &byte, 1), 1);
    seed = seed * 1664525U + 1013904223U;
    usleep(seed >> 18U);  // up to 16 ms: several adds
    kill(child, SIGKILL);
    int status = 0;
    waitpid(child, &status, 0);
    ASSERT_TRUE(WIFSIGNALED(status));
    close(started[0]);
    close(started[1]);
    // What the error would tell a person to do: no other Git program is at work here.
    for (const char* left : {"index.lock", "HEAD.lock", "refs/heads/main.lock"}) {
      std::filesystem::remove(folder_ / ".git" / left);
    }
    const Repository repository = Repository::open(folder_);
    ASSERT_EQ(repository.work_tree_trouble(), "");
    ASSERT_EQ(repository.read_at(*repository.resolve("main"), "machine.toml"), on_disk("machine.toml"));
    ASSERT_EQ(git("status --porcelain"), "");
    ASSERT_EQ(git("fsck --strict --no-progress --no-dangling"), "");
  }
}

TEST_F(StoreHistory, WhatWasBeforeALostCommitIsReadFromTheLogWhateverTheClockSaid) {
  Repository repository = made();
  const auto backup = [&](const char* text, std::int64_t at) {
    return repository.add("main", {"state/"}, {{"state/a", text}}, said("Backup", at));
  };
  const Oid enrolled = *repository.resolve("main");
  const Oid first = backup("1", 9000);
  const Oid lost = backup("2", 9500);
  backup("3", 2000);  // the clock was put right
  loosen();
  std::filesystem::remove(folder_ / ".git/objects" / lost.substr(0, 2) / lost.substr(2));
  EXPECT_EQ(Repository::open(folder_).past(lost), first);
  std::filesystem::remove_all(folder_ / ".git/logs");
  EXPECT_EQ(Repository::open(folder_).past(lost), enrolled) << "by the times alone";
}

}  // namespace
}  // namespace keepway::store
