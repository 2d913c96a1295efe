// Remotes that somebody made who means harm: a hub to write any bytes into, and how each is offered to a PC
// that has the machine and to one that has not.
#pragma once

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <functional>
#include <iostream>
#include <set>

#include "pack_maker.hpp"
#include "two_pcs.hpp"

namespace scenario {

struct Row {
  std::string mode;
  std::string name;
  std::string id;
};

inline std::string tree_bytes(const std::vector<Row>& rows) {
  std::string out;
  for (const Row& row : rows) out += row.mode + ' ' + row.name + '\0' + raw_of_id(row.id);
  return out;
}

// As Git sorts them: a folder as if its name ended with '/'.
inline std::vector<Row> sorted(std::vector<Row> rows) {
  const auto order = [](const Row& row) { return row.mode == "40000" ? row.name + '/' : row.name; };
  std::stable_sort(rows.begin(), rows.end(), [&](const Row& a, const Row& b) { return order(a) < order(b); });
  return rows;
}

// A copy of the hub, to be made hostile.
class Hub {
 public:
  Hub(fs::path folder, fs::path scratch) : folder_(std::move(folder)), scratch_(std::move(scratch)) {}
  [[nodiscard]] const fs::path& folder() const { return folder_; }

  // Writes any bytes as an object, well-formed or not.
  std::string object(const std::string& type, const std::string& bytes) {
    write_file(scratch_, bytes);
    const Ran ran = git(folder_, {"hash-object", "-t", type, "-w", "--literally", scratch_.string()});
    EXPECT_EQ(ran.exit, 0) << ran.err;
    return ran.out.substr(0, 40);
  }
  std::string blob(const std::string& bytes = "#!/bin/sh\ntouch /tmp/keepway-was-here\n") {
    return object("blob", bytes);
  }
  std::string tree(const std::vector<Row>& rows) { return object("tree", tree_bytes(rows)); }
  std::string at(const std::string& revision) {
    return git(folder_, {"rev-parse", revision}).out.substr(0, 40);
  }

  std::vector<Row> rows(const std::string& revision) {
    std::vector<Row> out;
    for (const std::string& line : lines_of(git(folder_, {"ls-tree", revision}).out)) {
      const std::size_t tab = line.find('\t');
      std::string mode = line.substr(0, line.find(' '));
      if (mode == "040000") mode = "40000";
      out.push_back({mode, line.substr(tab + 1), line.substr(tab - 40, 40)});
    }
    return out;
  }
  // Rows of main's tree, or of a folder in it, with others put in by name.
  std::string with(std::vector<Row> more, const std::string& below = "") {
    std::vector<Row> all = rows(below.empty() ? "main" : "main:" + below);
    for (Row& row : more) {
      std::erase_if(all, [&](const Row& old) { return old.name == row.name; });
      all.push_back(std::move(row));
    }
    const std::string made = tree(sorted(all));
    return below.empty() ? made : with({{"40000", below, made}});
  }
  static std::string commit_text(const std::string& tree, const std::vector<std::string>& parents,
                                 const std::string& message = "Edit\n",
                                 const std::string& person = "Eve <eve@example.org> 1770000000 +0000") {
    std::string out = "tree " + tree + "\n";
    for (const std::string& parent : parents) out += "parent " + parent + "\n";
    return out + "author " + person + "\ncommitter " + person + "\n\n" + message;
  }
  std::string commit(const std::string& tree, const std::string& message = "Edit\n") {
    return object("commit", commit_text(tree, {at("main")}, message));
  }
  // Past all checks of Git's.
  void set(const std::string& ref, const std::string& id) {
    fs::create_directories((folder_ / ref).parent_path());
    write_file(folder_ / ref, id + "\n");
  }
  void pack_ref(const std::string& ref, const std::string& id) {
    const fs::path packed = folder_ / "packed-refs";
    write_file(packed, (fs::exists(packed) ? read_file(packed) : "") + id + " " + ref + "\n");
  }
  void main_tree(const std::string& tree) { set("refs/heads/main", commit(tree)); }

 private:
  fs::path folder_;
  fs::path scratch_;
};

using Make = std::function<void(Hub&)>;
struct Case {
  std::string name;
  Make make;
  std::string said;  // a part of the message
};

class HostileTest : public TwoShops {
 protected:
  void SetUp() override {
    ASSERT_NO_FATAL_FAILURE(TwoShops::SetUp());
    intake("mill", mill_files(), 0, {"--at", "2026-03-01"});
    ASSERT_EQ(kw({"sync", "mill", "--to", hub().string()}).exit, 0);
  }
  // Whole as Git sees it too, unless a test let another program write there.
  void TearDown() override {
    if (!broken_) ShopTest::TearDown();
  }
  [[nodiscard]] fs::path mill() const { return shop() / "mill"; }

  Hub hostile(const Case& each) {
    const fs::path folder = root() / fmt::format("hub{}.git", ++hubs_);
    fs::copy(hub(), folder, fs::copy_options::recursive);
    Hub made(folder, root() / "object");
    each.make(made);
    return made;
  }

  // Runs keepway, and says what it changed on the disk: paths made absolute, without links and `..`.
  Ran traced(const Args& args, const fs::path& cwd, std::set<fs::path>& changed) {
    const fs::path log = root() / "changes.log";
    fs::remove(log);
    Env env;
#ifdef KEEPWAY_FAULT_SHIM
    env = {
        {"LD_PRELOAD", KEEPWAY_FAULT_SHIM}, {"KEEPWAY_FAULT_ROOT", "/"}, {"KEEPWAY_FAULT_LOG", log.string()}};
#endif
    Ran ran = keepway(args, cwd, env);
    if (!fs::exists(log)) return ran;
    for (const std::string& line : lines_of(read_file(log))) {
      const std::size_t call = line.find(' ');
      const std::string path = line.substr(line.find(' ', call + 1) + 1);
      if (path.starts_with('/')) changed.insert(fs::weakly_canonical(path));
    }
    return ran;
  }

  // What a refused sync may have changed for a while: what lies below .git/keepway, and the locks.
  static void expect_passing(const std::set<fs::path>& changed, const fs::path& machine,
                             const fs::path& remote) {
    for (const fs::path& path : changed) {
      const std::string text = path.string();
      const auto below = [&](const fs::path& folder) { return text.starts_with(folder.string()); };
      const bool streams = text.starts_with("/dev/") || text.starts_with("/proc/") ||
                           text.find("/keepway-out-") != std::string::npos;
      EXPECT_TRUE(streams || below(machine / ".git/keepway") || below(remote / "keepway")) << text;
    }
  }

  void expect_refused(const Case& each) {
    SCOPED_TRACE(each.name);
    const Hub made = hostile(each);
    const Tree before = kept_tree(mill());
    std::set<fs::path> changed;
    const Ran ran = traced({"sync", "mill", "--remote", made.folder().string()}, shop(), changed);
    EXPECT_THAT(ran.exit, testing::AnyOf(4, 5)) << ran.out << ran.err;
    EXPECT_THAT(ran.err, testing::HasSubstr(each.said));
    EXPECT_EQ(kept_tree(mill()), before);
    expect_passing(changed, mill(), made.folder());
    for (const auto& entry : fs::directory_iterator(mill() / ".git/keepway")) {
      EXPECT_THAT(entry.path().filename().string(), testing::Not(testing::HasSubstr("received")));
    }
    // To a PC that has not got the machine.
    std::set<fs::path> there;
    const Ran first = traced({"sync", "mill", "--to", made.folder().string()}, second(), there);
    EXPECT_THAT(first.exit, testing::AnyOf(3, 4, 5)) << first.out << first.err;
    EXPECT_FALSE(fs::exists(second() / "mill"));
    const fs::path making = second() / ".mill.new";  // what is made is renamed to its place when it is whole
    EXPECT_FALSE(fs::exists(making));
    for (const fs::path& path : there) {
      const std::string text = path.string();
      EXPECT_TRUE(path == second() || text.starts_with(making.string()) ||
                  text.starts_with((second() / "mill").string()) ||
                  text.starts_with(made.folder().string()) || text.starts_with("/dev/") ||
                  text.starts_with("/proc/") || text.find("/keepway-out-") != std::string::npos)
          << text;
      // Git's own template of a new repository has a file there.
      EXPECT_FALSE(text.starts_with((making / ".git/hooks/").string()) && !text.ends_with(".sample")) << text;
    }
    fs::remove_all(made.folder());
  }

  // How many.
  std::size_t expect_all_refused(const std::vector<Case>& all) {
    for (const Case& each : all) expect_refused(each);
    std::cout << fmt::format("[ remotes  ] {} refused, each on two PCs\n", all.size());
    return all.size();
  }

  bool broken_ = false;

 private:
  int hubs_ = 0;
};

}  // namespace scenario
