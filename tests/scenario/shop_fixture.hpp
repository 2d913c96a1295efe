// A shop in a scratch folder, with an invented mill, and what every scenario ends with: Git finds nothing
// wrong with any machine's repository.
#pragma once

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "run.hpp"

namespace scenario {

using Json = nlohmann::json;

// A whole, good backup of the mill for the layout rs274ngc. Invented values; the rows that a parameter file
// must have are those of NISTIR 6556, 3.2.1, table 2, its form that of the same section, the tool file's
// that of 2.3, table 1.
Tree mill_files();
// The 73 numbers of table 2, ascending.
std::vector<int> required_parameters();
// `mill_files()` with one text in one file changed; fails the test when it is not there exactly once.
Tree with(Tree files, const std::string& file, const std::string& was, const std::string& is);

// An invented control for a layout of its own, with every reader, bit-coded parameters and a serial in a
// file's name; its namebook with limits.
std::string lathe_layout();
std::string lathe_namebook();
Tree lathe_files();

class ShopTest : public testing::Test {
 protected:
  void SetUp() override;
  void TearDown() override;

  // In the shop's folder.
  Ran kw(const Args& args, const Env& env = {}) { return keepway(args, shop(), env); }
  // The answer of `args` with --json; fails the test when it does not parse or has no schema.
  Json json(Args args, int exit = -1);
  // Writes `files` as a folder and takes it in at a time, day by day unless given; expects `exit`.
  Ran intake(const std::string& machine, const Tree& files, int exit, Args more = {});
  Json inspect(const std::string& machine, const Tree& files, Args more = {});
  fs::path put(const Tree& files);  // a fresh folder with these files

  // All objects of a machine in files of their own, as Git itself stores the few of a commit; keepway makes
  // packs.
  void loosen(const std::string& machine);

  void enroll_mill();
  void enroll_lathe();
  // Codes of the reasons that are heavier than worth knowing.
  static std::vector<std::string> heavy(const Json& verdict);

  [[nodiscard]] fs::path root() const { return scratch_.path(); }
  [[nodiscard]] fs::path shop() const { return scratch_.path() / "shop"; }
  [[nodiscard]] fs::path repository(const std::string& machine) const { return shop() / machine; }

 private:
  Scratch scratch_;
  int next_ = 0;
};

// read_tree() without what is derived (.git/keepway): that may come and go with mere reading.
Tree kept_tree(const fs::path& folder);
// HEAD and all refs with what they point to: equal when nothing was stored.
std::string refs(const fs::path& repository);
// `git fsck --strict` says nothing, and `git status --porcelain` neither.
testing::AssertionResult fsck_clean(const fs::path& repository);
// The object id of a path in a revision.
std::string object_id(const fs::path& repository, const std::string& revision);

}  // namespace scenario
