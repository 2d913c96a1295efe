// What lies around the objects of a remote that is a folder, where somebody means harm: pipes that are waited
// for, links and `gitdir:` that lead elsewhere, settings that name other files, refs without end. Each is
// refused, and nothing of what it leads to is written. All are made here. Source: gitrepository-layout(5).
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <sys/stat.h>

#include "hostile_fixture.hpp"

namespace scenario {
namespace {

class HostileFolder : public HostileTest {
 protected:
  void SetUp() override {
    ASSERT_NO_FATAL_FAILURE(HostileTest::SetUp());
    fs::create_directory(outside());
  }
  [[nodiscard]] fs::path outside() const { return root() / "outside"; }

  [[nodiscard]] static Make pipe_at(const std::string& place) {
    return [place](Hub& hub) {
      const fs::path path = hub.folder() / place;
      fs::create_directories(path.parent_path());
      fs::remove(path);
      ASSERT_EQ(::mkfifo(path.c_str(), 0600), 0);
    };
  }
  // What is there goes outside, and a link to it takes its place.
  [[nodiscard]] Make link_at(const std::string& place) const {
    return [place, to = outside() / fs::path(place).filename()](Hub& hub) {
      const fs::path path = hub.folder() / place;
      fs::remove_all(to);
      if (fs::exists(path)) {
        fs::copy(path, to, fs::copy_options::recursive);
        fs::remove_all(path);
      } else {
        fs::create_directory(to);
        fs::create_directories(path.parent_path());
      }
      fs::create_symlink(to, path);
    };
  }
  [[nodiscard]] static Make setting(const std::string& text) {
    return [text](Hub& hub) {
      const fs::path file = hub.folder() / "config";
      write_file(file, read_file(file) + text);
    };
  }

  // Refused on both PCs, with `outside` as it was.
  void expect_kept_out(const std::vector<Case>& all) {
    for (const Case& each : all) {
      const Case then = {each.name,
                         [&](Hub& hub) {
                           each.make(hub);
                           before_ = read_tree(outside());
                         },
                         each.said};
      expect_refused(then);
      EXPECT_EQ(read_tree(outside()), before_) << each.name;
    }
  }

 private:
  Tree before_;
};

TEST_F(HostileFolder, NoPipeIsWaitedFor) {
  std::vector<Case> all;
  const std::string id(40, 'a');
  for (const std::string& place :
       {std::string("HEAD"), std::string("config"), std::string("packed-refs"), std::string("shallow"),
        std::string("refs/heads/trial/x"), std::string("logs/refs/heads/main"),
        std::string("objects/info/alternates"), std::string("objects/info/commit-graph"),
        std::string("objects/pack/multi-pack-index"), "objects/pack/pack-" + id + ".pack",
        "objects/aa/" + id.substr(2)})
    all.push_back({"a pipe at " + place, pipe_at(place),
                   place == "HEAD" ? "'HEAD' is no plain file" : "is no plain file"});
  expect_kept_out(all);
}

// In the machine's own folder, copied from somebody.
TEST_F(HostileFolder, NoPipeOfOnesOwnIsWaitedFor) {
  broken_ = true;
  const fs::path git_folder = mill() / ".git";
  const std::string id(38, 'a');
  for (const std::string& name :
       {std::string("HEAD"), std::string("config"), std::string("packed-refs"), std::string("index"),
        std::string("refs/heads/trial/x"), std::string("logs/HEAD"), std::string("objects/info/alternates"),
        "objects/aa/" + id}) {
    const fs::path path = git_folder / name;
    const fs::path aside = root() / "aside";
    const bool was = fs::exists(path);
    if (was) fs::rename(path, aside);
    fs::create_directories(path.parent_path());
    ASSERT_EQ(::mkfifo(path.c_str(), 0600), 0);
    for (const Args& args : std::vector<Args>{{"history", "mill"},
                                              {"audit", "mill"},
                                              {"tidy", "mill"},
                                              {"intake", "mill", put(mill_files()).string()},
                                              {"sync", "mill"}}) {
      const Ran ran = keepway(args, shop());
      EXPECT_LE(ran.exit, 5) << name << ' ' << args.front() << ran.err;
    }
    fs::remove(path);
    if (was) fs::rename(aside, path);
  }
}

TEST_F(HostileFolder, NoLinkOfOnesOwnIsFollowed) {
  broken_ = true;
  const fs::path git_folder = mill() / ".git";
  const auto expect_refusals = [&](const std::string& name) {
    const Tree before = read_tree(outside());
    for (const Args& args : std::vector<Args>{{"intake", "mill", put(mill_files()).string(), "--again"},
                                              {"tidy", "mill"},
                                              {"trial", "mill", "begin", "warm-up"},
                                              {"mark", "mill", "good"},
                                              {"sync", "mill"}}) {
      const Ran ran = kw(args);
      EXPECT_EQ(ran.exit, 4) << name << ' ' << args.front() << ran.out << ran.err;
    }
    EXPECT_EQ(read_tree(outside()), before) << name;
  };
  for (const char* name :
       {"HEAD", "refs", "refs/heads/main", "objects", "objects/pack", "logs", "keepway", "index"}) {
    const fs::path path = git_folder / name;
    const fs::path to = outside() / path.filename();
    fs::rename(path, to);
    fs::create_symlink(to, path);
    expect_refusals(name);
    fs::remove(path);
    fs::rename(to, path);
  }
  fs::copy(git_folder, outside() / "other", fs::copy_options::recursive);
  write_file(git_folder / "commondir", (outside() / "other").string() + "\n");
  expect_refusals("commondir");
  fs::remove_all(git_folder);
  write_file(git_folder, fmt::format("gitdir: {}\n", (outside() / "other").string()));
  expect_refusals(".git");
  // A folder that names it back is looked at too.
  write_file(outside() / "other" / "gitdir", git_folder.string() + "\n");
  fs::rename(outside() / "other" / "HEAD", outside() / "HEAD");
  fs::create_symlink(outside() / "HEAD", outside() / "other" / "HEAD");
  expect_refusals("a link behind .git");
}

TEST_F(HostileFolder, SettingsOfOnesOwnThatLieElsewhereAreRefused) {
  broken_ = true;
  const fs::path pipe = root() / "pipe";
  ASSERT_EQ(::mkfifo(pipe.c_str(), 0600), 0);
  const fs::path config = mill() / ".git" / "config";
  const std::string before = read_file(config);
  for (const std::string& section : {fmt::format("[include]\n\tpath = {}\n", pipe.string()),
                                     fmt::format("[ Include]path={}\n", pipe.string()),
                                     fmt::format("[includeIf \"gitdir:/**\"]\n\tpath = {}\n", pipe.string()),
                                     "[user]\n\tname = " + std::string(2'000'000, 'x') + "\n"}) {
    write_file(config, before + section);
    for (const Args& args : std::vector<Args>{{"history", "mill"},
                                              {"audit", "mill"},
                                              {"intake", "mill", put(mill_files()).string(), "--again"},
                                              {"sync", "mill"}}) {
      const Ran ran = keepway(args, shop());
      EXPECT_EQ(ran.exit, 4) << section.substr(0, 60) << args.front() << ran.out << ran.err;
    }
  }
  write_file(config, before + "[user]\n\tname = An include\n");
  EXPECT_EQ(keepway({"history", "mill"}, shop()).exit, 0);
}

TEST_F(HostileFolder, AWorkTreeThatGitMadeIsOpenedFromAnywhere) {
  const fs::path made = shop() / "beside";
  ASSERT_EQ(git(mill(), {"worktree", "add", "-q", "--detach", made.string()}).exit, 0);
  EXPECT_EQ(kw({"history", "beside"}).exit, 0);
  // Newer ones of Git may write the way back from the folder where it is (git-config(1),
  // worktree.useRelativePaths).
  const fs::path back = mill() / ".git" / "worktrees" / "beside" / "gitdir";
  write_file(back, fs::relative(made / ".git", back.parent_path()).string() + "\n");
  EXPECT_EQ(kw({"history", "beside"}).exit, 0);
}

TEST_F(HostileFolder, NoLinkIsFollowed) {
  std::vector<Case> all;
  for (const char* place :
       {"HEAD", "config", "refs", "refs/heads/main", "objects", "objects/pack", "logs", "keepway"})
    all.push_back({fmt::format("a link at {}", place), link_at(place), "a symbolic link"});
  all.push_back({"a link for the lock",
                 [this](Hub& hub) {
                   fs::remove(hub.folder() / "keepway.lock");
                   fs::create_symlink(outside() / "lock", hub.folder() / "keepway.lock");
                 },
                 "a symbolic link"});
  const auto elsewhere = [this](Hub& hub) {
    fs::remove_all(outside() / "other");
    fs::copy(hub.folder(), outside() / "other", fs::copy_options::recursive);
  };
  all.push_back({"a .git that names a folder",
                 [=, this](Hub& hub) {
                   elsewhere(hub);
                   fs::remove_all(hub.folder());
                   fs::create_directory(hub.folder());
                   write_file(hub.folder() / ".git",
                              fmt::format("gitdir: {}\n", (outside() / "other").string()));
                 },
                 "leads to another folder"});
  all.push_back({"a folder shared with another",
                 [=, this](Hub& hub) {
                   elsewhere(hub);
                   write_file(hub.folder() / "commondir", (outside() / "other").string() + "\n");
                 },
                 "leads to another folder"});
  expect_kept_out(all);
}

TEST_F(HostileFolder, NoSettingNamesAnotherFile) {
  const std::string file = (outside() / "settings").string();
  ASSERT_EQ(::mkfifo(file.c_str(), 0600), 0);
  std::vector<Case> all = {
      {"settings of another file", setting(fmt::format("[include]\n path = {}\n", file)), "[include]"},
      {"the same, in another case",
       setting(fmt::format("[core] bare = true\n [ \tIncLude]\n path = {}\n", file)), ""},
      {"settings of another file, where they are",
       setting(fmt::format("[includeIf \"gitdir:/\"]\npath={}\n", file)), "[include]"},
      {"settings without end", setting("# " + std::string(2U << 20U, 'x') + "\n"), "larger than"},
      {"a version of no Git", setting("[core]\n repositoryformatversion = 99\n"), "version"}};
  for (const Case& each : all) expect_refused(each);
}

TEST_F(HostileFolder, NoRefLeadsOnWithoutEnd) {
  const auto put = [](const std::string& place, const std::string& text) {
    return [=](Hub& hub) {
      fs::create_directories((hub.folder() / place).parent_path());
      write_file(hub.folder() / place, text);
    };
  };
  std::string long_name = "ref: refs/heads/";
  for (int i = 0; i < 500'000; ++i) long_name += "a/";
  std::string many;
  for (int i = 0; i < 100'001; ++i) many += fmt::format("{} refs/tags/t{:07}\n", std::string(40, 'a'), i);
  const std::vector<Case> all = {
      {"a HEAD of a megabyte", put("HEAD", long_name + "\n"), "larger than"},
      {"a ref of a megabyte", put("refs/heads/trial/x", long_name + "\n"), "larger than"},
      {"a ref that names itself", put("refs/heads/trial/x", "ref: refs/heads/trial/x\n"), "trial/x"},
      {"two refs that name each other",
       [&](Hub& hub) {
         put("refs/heads/trial/x", "ref: refs/heads/trial/y\n")(hub);
         put("refs/heads/trial/y", "ref: refs/heads/trial/x\n")(hub);
       },
       "trial/"},
      {"a ref that leads out", put("refs/heads/trial/x", "ref: ../../outside\n"), ""},
      {"more refs than any shop has", put("packed-refs", many), "100000 refs"},
      {"packed refs with a line of a megabyte",
       put("packed-refs", std::string(40, 'a') + " refs/tags/" + std::string(1U << 20U, 'x') + "\n"), ""}};
  for (const Case& each : all) expect_refused(each);
}

}  // namespace
}  // namespace scenario
