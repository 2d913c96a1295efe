// Remotes made by somebody who means harm: trees, modes, names, commits, refs and packs that no keepway
// writes. Each is offered to a PC that has the machine and to one that has not. It must be refused, nothing
// may be written but what passes below .git/keepway, and the line stays where it was; the shim (tests/fault)
// reports every call that changes the disk. Sources of the kinds: git-fsck(1), "Fsck messages";
// git-config(1), core.protectHFS and core.protectNTFS; gitformat-pack(5).
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <functional>
#include <iostream>

#include "hostile_fixture.hpp"

namespace scenario {
namespace {

using testing::AnyOf;
using testing::HasSubstr;
using testing::Not;

Case row(const std::string& name, const Row& bad, const std::string& said) {
  return {name,
          [bad](Hub& hub) {
            Row put = bad;
            if (put.id.empty()) {
              put.id = put.mode == "40000" ? hub.tree({{"100644", "x", hub.blob()}}) : hub.blob();
            }
            hub.main_tree(hub.with({put}));
          },
          said};
}

Case original(const std::string& name, const Row& bad, const std::string& said) {
  return {name,
          [bad](Hub& hub) {
            Row put = bad;
            if (put.id.empty()) put.id = hub.blob("../../../outside");
            hub.main_tree(hub.with({put}, "originals"));
          },
          said};
}

std::vector<Case> trees() {
  std::vector<Case> all = {
      {"a hook",
       [](Hub& hub) {
         const std::string hooks = hub.tree({{"100644", "post-checkout", hub.blob()}});
         hub.main_tree(hub.with({{"40000", ".git", hub.tree({{"40000", "hooks", hooks}})}}));
       },
       "Git's own"},
      {"folders above",
       [](Hub& hub) {
         std::string tree = hub.tree({{"100644", "outside", hub.blob()}});
         for (int i = 0; i < 3; ++i) tree = hub.tree({{"40000", "..", tree}});
         hub.main_tree(hub.with({{"40000", "originals", tree}}));
       },
       ".."},
      row("a dot", {"40000", ".", ""}, "out of its folder"),
      row("another case", {"40000", ".GIT", ""}, "Git's own"),
      row("a final dot", {"40000", ".git.", ""}, "Git's own"),
      row("a final blank", {"40000", ".git ", ""}, "Git's own"),
      row("dots and blanks", {"40000", ".git . .", ""}, "Git's own"),
      row("a short name", {"40000", "git~1", ""}, "Git's own"),
      row("a short name in capitals", {"40000", "GIT~1", ""}, "Git's own"),
      row("a stream", {"40000", ".git::$INDEX_ALLOCATION", ""}, "Git's own"),
      row("a code point that HFS+ passes over", {"40000", ".g\xE2\x80\x8Cit", ""}, "Git's own"),
      row("a byte order mark", {"40000", "\xEF\xBB\xBF.git", ""}, "Git's own"),
      row("a backslash", {"100644", ".git\\hooks\\post-checkout", ""}, "Git's own"),
      row("a file named .git", {"100644", ".git", ""}, "Git's own"),
      row("submodules", {"100644", ".gitmodules", ""}, "Git's own"),
      row("submodules by a short name", {"100644", "gitmod~1", ""}, "Git's own"),
      row("other attributes", {"100644", ".gitattributes", ""}, ".gitattributes"),
      row("a submodule", {"160000", "part", std::string(40, '1')}, "submodule"),
      row("a path for a name", {"100644", "state/../../outside", ""}, "out of its folder"),
      row("an absolute name", {"100644", "/tmp/outside", ""}, "absolute"),
      row("a folder in a name", {"100644", "originals/x", ""}, "'/'"),
      row("no name", {"100644", "", ""}, "can't parse filename"),  // libgit2's word, while it fetches
      row("a file of nobody's", {"100644", "README.md", ""}, "README.md"),
      row("a link for a folder", {"120000", "state", ""}, "link"),
      row("a file for a folder", {"100644", "state", ""}, "state"),
      row("a folder for a file", {"40000", "machine.toml", ""}, "machine.toml"),
      original("a link", {"120000", "link", ""}, "symbolic link"),
      original("a program", {"100755", "run.sh", ""}, "100755"),
      original("a mode of old", {"100664", "mode.txt", ""}, "100664"),
      original("a mode with a zero", {"0100644", "mode.txt", ""}, "0100644"),
      original("a mode that is none", {"10x644", "mode.txt", ""}, "mode"),
      original("attributes below", {"100644", ".gitattributes", ""}, ".gitattributes"),
      original("a name that leads out when it is read", {"100644", "%2E%2E%2Foutside", ""},
               "is not a file of"),
      original("a backslash in a name", {"100644", "a\\b", ""}, "is not a file of"),
      original("a control byte in a name", {"100644", "a\x1b[2J", ""}, "is not a file of"),
      original("a long name", {"100644", std::string(300, 'n'), ""}, "255"),
      original("no such content", {"100644", "gone.txt", std::string(40, '2')}, ""),
      {"a commit for a content",
       [](Hub& hub) {
         hub.main_tree(hub.with({{"100644", "x.txt", hub.at("main")}}, "originals"));
       },
       ""},
      {"a content for a folder",
       [](Hub& hub) {
         hub.main_tree(hub.with({{"40000", "sub", hub.blob()}}, "originals"));
       },
       ""},
      {"a name twice",
       [](Hub& hub) {
         auto rows = hub.rows("main");
         rows.push_back(rows.back());
         hub.main_tree(hub.tree(rows));
       },
       "twice"},
      {"a file and a folder of one name",
       [](Hub& hub) {
         const std::string folder = hub.tree({{"100644", "x", hub.blob()}});
         hub.main_tree(hub.with({{"40000", "originals",
                                  hub.tree(sorted({{"100644", "a", hub.blob()}, {"40000", "a", folder}}))}}));
       },
       "twice"},
      {"rows out of order",
       [](Hub& hub) {
         auto rows = hub.rows("main");
         std::reverse(rows.begin(), rows.end());
         hub.main_tree(hub.tree(rows));
       },
       "order"},
      {"a tree cut short",
       [](Hub& hub) {
         const std::string bytes = tree_bytes(hub.rows("main"));
         hub.main_tree(hub.object("tree", bytes.substr(0, bytes.size() - 7)));
       },
       ""},
      {"a tree that is missing", [](Hub& hub) { hub.main_tree(std::string(40, '3')); }, ""},
      {"folders without end",
       [](Hub& hub) {
         std::string tree = hub.tree({{"100644", "x", hub.blob()}});
         for (int i = 0; i < 200; ++i) tree = hub.tree({{"40000", "d", tree}});
         hub.main_tree(hub.with({{"40000", "originals", tree}}));
       },
       "deep"},
      {"a tree that unfolds to a thousand million files",
       [](Hub& hub) {
         std::string tree = hub.tree({{"100644", "x", hub.blob()}});
         for (int i = 0; i < 9; ++i) {
           std::vector<Row> rows;
           for (int n = 0; n < 10; ++n) rows.push_back({"40000", fmt::format("d{}", n), tree});
           tree = hub.tree(rows);
         }
         hub.main_tree(hub.with({{"40000", "originals", tree}}));
       },
       "files"},
      {"no machine",
       [](Hub& hub) {
         auto rows = hub.rows("main");
         std::erase_if(rows, [](const Row& each) { return each.name == "machine.toml"; });
         hub.main_tree(hub.tree(rows));
       },
       "machine.toml"},
      row("a machine that cannot be read", {"100644", "machine.toml", ""}, "machine.toml"),
      {"a state that its originals do not give",
       [](Hub& hub) {
         const std::string table = hub.blob("300\t9.99\n");
         hub.main_tree(hub.with({{"100644", "variables.tsv", table}}, "state"));
       },
       "variables.tsv"},
      {"originals that are not those of the digest",
       [](Hub& hub) {
         const std::string tree = hub.with({{"100644", "note.txt", hub.blob("slipped in\n")}}, "originals");
         const std::string message = git(hub.folder(), {"log", "-1", "--format=%B", "main"}).out;
         hub.set("refs/heads/main", hub.commit(tree, message));
       },
       "Keepway-Digest"},
  };
  return all;
}

std::vector<Case> commits() {
  const auto main_is = [](const std::function<std::string(Hub&)>& text) {
    return [text](Hub& hub) { hub.set("refs/heads/main", hub.object("commit", text(hub))); };
  };
  const auto with_person = [&](const std::string& person) {
    return main_is([person](Hub& hub) {
      return Hub::commit_text(hub.at("main^{tree}"), {hub.at("main")}, "Edit\n", person);
    });
  };
  const auto with_message = [&](const std::string& message) {
    return main_is(
        [message](Hub& hub) { return Hub::commit_text(hub.at("main^{tree}"), {hub.at("main")}, message); });
  };
  return {
      {"a NUL in the message", with_message(std::string("Edit\0hidden\n", 12)), "NUL"},
      {"a message without end", with_message("Edit\n\n" + std::string(2U << 20U, 'x')), "1 MiB"},
      {"a date far ahead", with_person("Eve <e@e> 9223372036854775807 +0000"), ""},
      {"a date before 1970", with_person("Eve <e@e> -5 +0000"), ""},
      {"no date", with_person("Eve <e@e>"), ""},
      {"nobody", with_person(""), ""},
      {"no tree", main_is([](Hub& hub) {
         return "parent " + hub.at("main") + "\nauthor E <e> 1 +0000\ncommitter E <e> 1 +0000\n\nEdit\n";
       }),
       ""},
      {"a parent that is missing", main_is([](Hub& hub) {
         return Hub::commit_text(hub.at("main^{tree}"), {hub.at("main"), std::string(40, '4')});
       }),
       ""},
      {"a parent that is a tree", main_is([](Hub& hub) {
         return Hub::commit_text(hub.at("main^{tree}"), {hub.at("main"), hub.at("main^{tree}")});
       }),
       ""},
      {"no bytes at all", main_is([](Hub&) { return std::string(); }), ""},
      {"a backup of no number", main_is([](Hub& hub) {
         std::string message = git(hub.folder(), {"log", "-1", "--format=%B", "main"}).out;
         message.replace(message.find("Keepway-Backup: 1"), 17, "Keepway-Backup: -1");
         return Hub::commit_text(hub.at("main^{tree}"), {hub.at("main")}, message);
       }),
       "Keepway-"},
      {"a backup that Git copied", main_is([](Hub& hub) {
         return Hub::commit_text(hub.at("main^{tree}"), {hub.at("main")},
                                 git(hub.folder(), {"log", "-1", "--format=%B", "main"}).out);
       }),
       "rewritten by Git"},
  };
}

std::vector<Case> references() {
  const auto other_root = [](Hub& hub) {
    return hub.object("commit", Hub::commit_text(hub.at("main^{tree}"), {}));
  };
  return {
      {"main is a content", [](Hub& hub) { hub.set("refs/heads/main", hub.blob()); }, ""},
      {"main is a tree", [](Hub& hub) { hub.set("refs/heads/main", hub.at("main^{tree}")); }, ""},
      {"a trial named HEAD", [](Hub& hub) { hub.set("refs/heads/trial/HEAD", hub.at("main")); },
       "another ref"},
      {"a mark named HEAD", [](Hub& hub) { hub.set("refs/tags/HEAD", hub.at("main")); }, "another ref"},
      {"a mark named like a ref", [](Hub& hub) { hub.set("refs/tags/refs/heads/main", hub.at("main")); },
       "another ref"},
      {"a mark named like a commit",
       [](Hub& hub) { hub.set("refs/tags/" + std::string(40, 'a'), hub.at("main")); }, "commit's id"},
      {"a mark named like an option", [](Hub& hub) { hub.set("refs/tags/--force", hub.at("main")); },
       "option"},
      {"a mark of a content", [](Hub& hub) { hub.set("refs/tags/good", hub.blob()); }, "names no commit"},
      {"a mark that cannot be read",
       [](Hub& hub) { hub.set("refs/tags/good", hub.object("tag", "object nothing\n")); }, ""},
      {"a mark of what is missing",
       [](Hub& hub) {
         hub.set("refs/tags/good",
                 hub.object("tag", "object " + std::string(40, '5') +
                                       "\ntype commit\ntag good\ntagger E <e> 1 +0000\n\nx\n"));
       },
       ""},
      {"marks of marks",
       [](Hub& hub) {
         std::string id = hub.at("main");
         std::string type = "commit";
         for (int i = 0; i < 20; ++i) {
           id = hub.object("tag",
                           "object " + id + "\ntype " + type + "\ntag good\ntagger E <e> 1 +0000\n\nx\n");
           type = "tag";
         }
         hub.set("refs/tags/good", id);
       },
       ""},
      {"a trial that is a folder too",
       [](Hub& hub) {
         hub.pack_ref("refs/heads/trial/a", hub.at("main"));
         hub.pack_ref("refs/heads/trial/a/b", hub.at("main"));
       },
       "trial"},
      {"a name that no disk can hold",
       [](Hub& hub) { hub.pack_ref("refs/heads/trial/" + std::string(300, 'n'), hub.at("main")); },
       "too long"},
      {"another history in a trial", [=](Hub& hub) { hub.set("refs/heads/trial/x", other_root(hub)); },
       "no commit in common"},
      {"another history in the archive",
       [=](Hub& hub) { hub.set("refs/keepway/archive/x", other_root(hub)); }, "no commit in common"},
      {"a hook in a trial",
       [](Hub& hub) {
         hub.set("refs/heads/trial/x",
                 hub.commit(hub.with({{"40000", ".git", hub.tree({{"100644", "config", hub.blob()}})}})));
       },
       "Git's own"},
      {"a hook behind a good tip",
       [](Hub& hub) {
         const std::string good = hub.at("main^{tree}");
         hub.main_tree(hub.with({{"40000", ".git", hub.tree({{"100644", "config", hub.blob()}})}}));
         hub.main_tree(good);
       },
       "Git's own"},
      {"a hook in a mark's history",
       [](Hub& hub) {
         hub.set("refs/tags/good",
                 hub.commit(hub.with({{"40000", ".git", hub.tree({{"100644", "config", hub.blob()}})}})));
       },
       "Git's own"},
  };
}

// All packed into one pack, most of it one file that is new and does not press; then the bytes are changed.
Make packed(std::uint64_t seed, const std::function<void(std::string&)>& change,
            const char* ending = ".pack") {
  return [=](Hub& hub) {
    constexpr std::size_t much = 200'000;
    hub.main_tree(hub.with({{"100644", "note.bin", hub.blob(Random(seed).bytes(much))}}, "originals"));
    ASSERT_EQ(git(hub.folder(), {"repack", "-a", "-d", "-q"}).exit, 0);
    for (const auto& entry : fs::directory_iterator(hub.folder() / "objects/pack")) {
      if (entry.path().extension() != ending) continue;
      std::string bytes = read_file(entry.path());
      change(bytes);
      fs::permissions(entry.path(), fs::perms::owner_all);
      write_file(entry.path(), bytes);
    }
  };
}

std::vector<Case> packs() {
  return {
      {"a pack cut short", packed(1, [](std::string& bytes) { bytes.resize(bytes.size() / 2); }), ""},
      {"a pack with a byte turned",
       packed(
           2,
           [](std::string& bytes) { bytes[bytes.size() / 2] = static_cast<char>(~bytes[bytes.size() / 2]); }),
       ""},
      {"a pack of nothing", packed(3, [](std::string& bytes) { bytes.clear(); }), ""},
      {"a pack that says that it has more objects", packed(5, [](std::string& bytes) { ++bytes[11]; }), ""},
      {"a pack of no version", packed(6, [](std::string& bytes) { bytes[7] = 9; }), ""},
      {"a loose object that is not compressed",
       [](Hub& hub) {
         hub.main_tree(hub.with({{"100644", "namebook.tsv", hub.blob("address\tname\n")}}));
         const std::string id = hub.at("main^{tree}");
         const fs::path file = hub.folder() / "objects" / id.substr(0, 2) / id.substr(2);
         fs::permissions(file, fs::perms::owner_all);
         write_file(file, "tree 0");
       },
       ""},
      {"an index of nothing",
       packed(
           4, [](std::string& bytes) { bytes.clear(); }, ".idx"),
       ""},
      {"an index that says that it has four thousand million rows",
       packed(
           7, [](std::string& bytes) { bytes.replace(8 + 1020, 4, "\xff\xff\xff\xf0"); }, ".idx"),
       "not as many rows"},
      {"an object under another's id",
       [](Hub& hub) {
         hub.main_tree(hub.with({{"100644", "namebook.tsv", hub.blob("address\tname\n")}}));
         const auto file = [&](const std::string& id) {
           return hub.folder() / "objects" / id.substr(0, 2) / id.substr(2);
         };
         const fs::path good = file(hub.at("main^{tree}"));
         const fs::path bad = file(hub.tree({{"100644", "x", hub.blob()}}));
         fs::permissions(good, fs::perms::owner_all);
         write_file(good, read_file(bad));
       },
       ""},
  };
}

TEST_F(HostileTest, TreesAreRefused) {
  EXPECT_GE(expect_all_refused(trees()), 40U);
}

TEST_F(HostileTest, CommitsAreRefused) {
  expect_all_refused(commits());
}

TEST_F(HostileTest, RefsAreRefused) {
  expect_all_refused(references());
}

TEST_F(HostileTest, PacksAreRefused) {
  expect_all_refused(packs());
}

// --accept takes an older repository with its faults, and nothing that could do harm.
TEST_F(HostileTest, NoHarmIsAccepted) {
  const std::set<std::string> harmful = {
      "a hook",      "folders above",    "a short name",        "submodules",
      "a submodule", "other attributes", "a link for a folder", "a program"};
  std::size_t tried = 0;
  for (const Case& each : trees()) {
    if (!harmful.contains(each.name)) continue;
    SCOPED_TRACE(each.name);
    ++tried;
    const Hub made = hostile(each);
    const Tree before = kept_tree(mill());
    const Ran ran = kw({"sync", "mill", "--accept", "--remote", made.folder().string()});
    EXPECT_EQ(ran.exit, 5) << ran.out << ran.err;
    EXPECT_EQ(kept_tree(mill()), before);
  }
  EXPECT_EQ(tried, harmful.size());
  const Case nobodys = row("a file of nobody's", {"100644", "README.md", ""}, "");
  EXPECT_EQ(kw({"sync", "mill", "--accept", "--remote", hostile(nobodys).folder().string()}).exit, 1);
  EXPECT_TRUE(fs::exists(mill() / "README.md"));
}

// Another program put it on the line here: nothing is built on it, nothing written out by it.
TEST_F(HostileTest, AnIntakeBuildsOnNoHarm) {
  broken_ = true;
  const Hub made = hostile(trees().front());
  const std::string tip = git(made.folder(), {"rev-parse", "main"}).out.substr(0, 40);
  ASSERT_EQ(git(mill(), {"fetch", "-q", made.folder().string(), "main"}).exit, 0);
  ASSERT_EQ(git(mill(), {"update-ref", "refs/heads/main", tip}).exit, 0);
  const auto stored = [&] {
    Tree kept = kept_tree(mill());
    kept.erase(".git/keepway.lock");  // after a failure the owner's line stays in it, see git/lock.hpp
    return kept;
  };
  const Tree before = stored();
  const Tree files = with(mill_files(), "O1001.ngc", "Z-.5", "Z-.625");
  const Ran ran = kw({"intake", "mill", put(files).string(), "--at", "2026-03-05"});
  EXPECT_EQ(ran.exit, 5) << ran.out << ran.err;
  EXPECT_THAT(ran.err, HasSubstr("Git's own"));
  EXPECT_EQ(stored(), before);
  EXPECT_FALSE(fs::exists(mill() / ".git/hooks/post-checkout"));
  // A trial begins at a backup, which that commit is not.
  const Ran begun = kw({"trial", "mill", "begin", "warm-up"});
  EXPECT_EQ(begun.exit, 0) << begun.out << begun.err;
  EXPECT_FALSE(fs::exists(mill() / ".git/hooks/post-checkout"));
}

// Where a line ends is a clone's word alone.
TEST_F(HostileTest, AnAuditTakesNoHarmFromAClone) {
  const Hub made = hostile(trees().front());
  write_file(mill() / ".git/refs/heads/main", "no id\n");
  fs::remove(mill() / ".git/logs/refs/heads/main");
  const Ran ran = kw({"audit", "mill", "--from", made.folder().string()});
  EXPECT_EQ(ran.exit, 5) << ran.out << ran.err;
  EXPECT_EQ(read_file(mill() / ".git/refs/heads/main"), "no id\n");
  EXPECT_LE(kw({"audit", "mill", "--from", hub().string()}).exit, 1);
  EXPECT_EQ(read_file(mill() / ".git/refs/heads/main"), git(hub(), {"rev-parse", "main"}).out);
}

}  // namespace
}  // namespace scenario
