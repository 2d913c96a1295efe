// Three-way merge: its laws on random states, and Git's line merge beside it. Test data are invented.
#include "keepway/merge.hpp"

#include <gmock/gmock.h>
#include <rapidcheck/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>

namespace keepway {
namespace {

State with_offsets(Table table) {
  State state;
  state.table(Group::offsets) = std::move(table);
  return state;
}

TEST(Merge, NeighbouringRowsDoNotClash) {
  const State base = with_offsets({{"1", "a"}, {"2", "b"}, {"3", "c"}});
  const State ours = with_offsets({{"1", "x"}, {"2", "b"}, {"3", "c"}});
  const State theirs = with_offsets({{"1", "a"}, {"2", "y"}});
  const Merge merged = merge(base, ours, theirs);
  EXPECT_TRUE(merged.clean());
  EXPECT_EQ(merged.state, with_offsets({{"1", "x"}, {"2", "y"}}));
  ASSERT_EQ(merged.items.size(), 3U);
  EXPECT_EQ(merged.items[0].from, MergeSide::ours);
  EXPECT_EQ(merged.items[1].from, MergeSide::theirs);
  EXPECT_EQ(merged.items[2].from, MergeSide::theirs);
  EXPECT_FALSE(merged.items[2].present);
}

TEST(Merge, AClashLeavesWhatBaseHasAndGivesAllThree) {
  const State base = with_offsets({{"1", "a"}});
  const State ours = with_offsets({{"1", "x"}});
  const State theirs = with_offsets({});
  const Merge merged = merge(base, ours, theirs);
  ASSERT_EQ(merged.clashes.size(), 1U);
  EXPECT_EQ(merged.clashes[0].address.text(), "offsets/1");
  EXPECT_EQ(merged.clashes[0].base, "a");
  EXPECT_EQ(merged.clashes[0].ours, "x");
  EXPECT_FALSE(merged.clashes[0].theirs);
  EXPECT_EQ(merged.state, base);
}

TEST(Merge, PreferencesSettleClashesByTheLongestAddress) {
  const State base = with_offsets({{"work/G54/X", "0"}, {"work/G54/Y", "0"}, {"work/G55/X", "0"}});
  const State ours = with_offsets({{"work/G54/X", "1"}, {"work/G54/Y", "1"}, {"work/G55/X", "1"}});
  const State theirs = with_offsets({{"work/G54/X", "2"}, {"work/G54/Y", "2"}, {"work/G55/X", "2"}});
  const Merge merged = merge(base, ours, theirs,
                             {{Address{Group::offsets, ""}, true},
                              {Address{Group::offsets, "work/G54"}, false},
                              {Address{Group::offsets, "work/G54/Y"}, true},
                              {Address{Group::offsets, "work/G5"}, false},
                              {Address{Group::settings, "work/G55/X"}, false}});
  EXPECT_TRUE(merged.clean());
  EXPECT_EQ(merged.state, with_offsets({{"work/G54/X", "2"}, {"work/G54/Y", "1"}, {"work/G55/X", "1"}}));
}

TEST(Merge, ProgramsAreItems) {
  State base;
  base.programs = {{"O1", "O1\nX1\n"}, {"O2", "O2\n"}};
  State ours = base;
  ours.programs[0].text = "O1\nX2\n";
  State theirs = base;
  theirs.programs = {{"O1", "O1\nX1\n"}, {"O3", "O3\n"}};
  const Merge merged = merge(base, ours, theirs);
  EXPECT_TRUE(merged.clean());
  EXPECT_EQ(merged.state.programs, (std::vector<Program>{{"O1", "O1\nX2\n"}, {"O3", "O3\n"}}));
}

TEST(Merge, AGroupThatOneSideDroppedIsAbsent) {
  const State base = with_offsets({{"1", "a"}});
  const Merge merged = merge(base, base, State{});
  EXPECT_EQ(merged.state, State{});
}

// --- laws ------------------------------------------------------------------------------------

rc::Gen<State> states() {
  return rc::gen::exec([] {
    State state;
    for (const Group group : all_groups) {
      if (*rc::gen::inRange(0, 4) == 0) continue;
      Table table;
      for (int key = 0; key < 12; ++key) {
        const int value = *rc::gen::inRange(0, 4);
        if (value > 0) table.push_back({std::to_string(key), std::to_string(value)});
      }
      sort_table(table);
      state.table(group) = std::move(table);
    }
    for (int number = 1; number < 6; ++number) {
      const int value = *rc::gen::inRange(0, 3);
      const std::string name = "O" + std::to_string(number);
      if (value > 0) state.programs.push_back({name, name + "\nX" + std::to_string(value) + "\n"});
    }
    return state;
  });
}

using ItemSet = std::map<std::string, std::string>;
ItemSet items_of(const State& state) {
  ItemSet items;
  for (const Group group : all_groups) {
    if (!state.table(group)) continue;
    for (const Item& item : *state.table(group)) items[Address{group, item.key}.text()] = item.value;
  }
  for (const Program& program : state.programs) {
    items[Address{Group::programs, program.name}.text() + " (program)"] = program.text;
  }
  return items;
}

RC_GTEST_PROP(MergeLaws, AnUnchangedSideGivesTheOther, ()) {
  const State base = *states();
  const State other = *states();
  for (const Merge& merged : {merge(base, base, other), merge(base, other, base)}) {
    RC_ASSERT(merged.clean());
    RC_ASSERT(merged.state == other);
  }
  RC_ASSERT(merge(base, other, other).state == other);
}

RC_GTEST_PROP(MergeLaws, TheTwoOrdersGiveTheSameItems, ()) {
  const State base = *states();
  const State a = *states();
  const State b = *states();
  const Merge one = merge(base, a, b);
  const Merge two = merge(base, b, a);
  RC_ASSERT(one.state == two.state);
  RC_ASSERT(one.clashes.size() == two.clashes.size());
  for (std::size_t i = 0; i < one.clashes.size(); ++i) {
    RC_ASSERT(one.clashes[i].address == two.clashes[i].address);
    RC_ASSERT(one.clashes[i].ours == two.clashes[i].theirs);
    RC_ASSERT(one.clashes[i].theirs == two.clashes[i].ours);
  }
  const Address all{Group::offsets, ""};
  RC_ASSERT(merge(base, a, b, {{all, true}}).state == merge(base, b, a, {{all, false}}).state);
}

RC_GTEST_PROP(MergeLaws, NothingIsLostOrInvented, ()) {
  const State base_state = *states();
  const State ours_state = *states();
  const State theirs_state = *states();
  const Merge merged = merge(base_state, ours_state, theirs_state);
  const ItemSet b = items_of(base_state);
  const ItemSet o = items_of(ours_state);
  const ItemSet t = items_of(theirs_state);
  const ItemSet m = items_of(merged.state);
  auto get = [](const ItemSet& set, const std::string& key) {
    const auto found = set.find(key);
    return found == set.end() ? std::string("absent") : found->second;
  };
  std::set<std::string> keys;
  for (const ItemSet* set : {&b, &o, &t, &m}) {
    for (const auto& [key, value] : *set) keys.insert(key);
  }
  // Each item: what neither side changed stays, what one side changed is taken, the rest is a clash.
  std::size_t clashes = 0;
  for (const std::string& key : keys) {
    const std::string vb = get(b, key);
    const std::string vo = get(o, key);
    const std::string vt = get(t, key);
    const bool clash = vo != vb && vt != vb && vo != vt;
    clashes += clash ? 1 : 0;
    RC_ASSERT(get(m, key) == (clash ? vb : vo != vb ? vo : vt));
  }
  RC_ASSERT(merged.clashes.size() == clashes);
  RC_ASSERT(merged.items.size() == keys.size());
  std::size_t present = 0;
  for (const MergedItem& item : merged.items) present += item.present ? 1 : 0;
  RC_ASSERT(present == m.size());
}

// --- Git's line merge ------------------------------------------------------------------------

class Folder {
 public:
  Folder() {
    std::string name = (std::filesystem::temp_directory_path() / "merge-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = name;
  }
  ~Folder() { std::filesystem::remove_all(path_); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  [[nodiscard]] std::string write(const std::string& name, const std::string& text) const {
    std::ofstream(path_ / name, std::ios::binary) << text;
    return (path_ / name).string();
  }
  [[nodiscard]] std::string read(const std::string& name) const {
    std::ifstream in(path_ / name, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }

 private:
  std::filesystem::path path_;
};

Table random_table() {
  Table table;
  for (int key = 0; key < 40; ++key)
    table.push_back({std::to_string(key), std::to_string(*rc::gen::inRange(0, 9))});
  return table;
}

// A few edits, so that line merge often succeeds.
Table edited(Table table) {
  for (int edits = *rc::gen::inRange(0, 4); edits > 0 && !table.empty(); --edits) {
    const auto at = *rc::gen::inRange<std::size_t>(0, table.size());
    if (*rc::gen::inRange(0, 4) == 0) {
      table.erase(table.begin() + static_cast<std::ptrdiff_t>(at));
    } else {
      table[at].value = std::to_string(*rc::gen::inRange(10, 99));
    }
  }
  return table;
}

TEST(MergeLaws, WhereLineMergeSucceedsItGivesTheSameRows) {
  if (std::system("git --version >/dev/null 2>&1") != 0) GTEST_SKIP() << "needs git";
  const Folder folder;
  std::size_t merged_by_lines = 0;
  const bool holds = rc::check("merge gives the rows of git merge-file", [&] {
    const Table base = random_table();
    const Table ours = edited(base);
    const Table theirs = edited(base);
    const std::string command = "git merge-file -p '" + folder.write("ours", write_table(ours)) + "' '" +
                                folder.write("base", write_table(base)) + "' '" +
                                folder.write("theirs", write_table(theirs)) + "' > '" +
                                folder.write("merged", "") + "' 2>/dev/null";
    if (std::system(command.c_str()) != 0) return;  // line merge sees a conflict
    ++merged_by_lines;
    const Merge merged = merge(with_offsets(base), with_offsets(ours), with_offsets(theirs));
    RC_ASSERT(merged.clean());
    RC_ASSERT(write_table(*merged.state.table(Group::offsets)) == folder.read("merged"));
  });
  EXPECT_TRUE(holds);
  EXPECT_GT(merged_by_lines, 10U);
}

}  // namespace
}  // namespace keepway
