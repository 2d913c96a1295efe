// What an intake notes in the index of item changes is what would be read from Git. Invented data.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <random>

#include "keepway/amend.hpp"
#include "keepway/report.hpp"
#include "keepway/shop.hpp"
#include "keepway/show.hpp"
#include "keepway/trial.hpp"
#include "shop/backup_commit.hpp"

namespace keepway {
namespace {

namespace fs = std::filesystem;

constexpr const char* layout = R"toml(layout = 1
units = "inch"
[[source]]
group = "variables"
files = "*.VAR"
reader = "assign"
[[source]]
group = "offsets"
files = "*.OFFSETS"
reader = "words"
[[source.row]]
address = "tool/{T}"
fields = { L = "length", D = "diameter" }
[[source]]
group = "programs"
files = "*.PRG"
reader = "blocks"
)toml";

// Every change of every item, as the index has it.
std::string all_changes(const Machine& machine) {
  std::string out;
  machine.visit_changes(
      [&](std::size_t backup, const Address& item, const std::optional<std::string>& value) {
        out += std::to_string(backup) + ' ' + item.text() + ' ' + value.value_or("(gone)") + '\n';
      });
  return out;
}

class ShopIndex : public testing::Test {
 protected:
  ShopIndex() {
    std::string pattern = (fs::temp_directory_path() / "shop-index-XXXXXX").string();
    if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("no temporary folder");
    top_ = pattern;
    std::ofstream(top_ / "own.toml") << layout;
  }
  ~ShopIndex() override {
    std::error_code ignored;
    fs::remove_all(top_, ignored);
  }
  Machine enrolled() const {
    return Shop::init(top_ / "shop", "A shop")
        .enroll({"mill", top_ / "own.toml", "", "", {}, {}, "Ida", 1000});
  }
  static media::Set one_file(const char* name, const char* text) {
    media::Set set;
    set.files.push_back({name, text, std::nullopt});
    return set;
  }
  [[nodiscard]] fs::path file() const { return top_ / "shop/mill/.git/keepway/cache/index"; }

  fs::path top_;
};

Backup take_in(Machine& machine, media::Set set, std::int64_t at) {
  IntakeOptions options;
  options.by = "Ida";
  options.at = at;
  options.now = at + 60;
  options.accept = true;
  return machine.intake(machine.inspect(std::move(set), options), options);
}

// "#2 1 to 2; #1 none to 1; ", the newest first.
std::string changes_text(const std::vector<ItemChange>& changes) {
  std::string out;
  for (const ItemChange& change : changes) {
    out += fmt::format("{} {} to {}; ", name_of(change.backup), change.before.value_or("none"),
                       change.after.value_or("none"));
  }
  return out;
}

TEST_F(ShopIndex, WrittenByAnIntakeEqualsTheOneReadFromGit) {
  std::mt19937 random(7);
  const auto below = [&](unsigned limit) { return static_cast<unsigned>(random() % limit); };
  Machine machine = enrolled();
  std::vector<std::string> programs(6);
  std::vector<store::Oid> commits;
  for (int number = 1; number <= 40; ++number) {
    media::Set set;
    set.source = "folder";
    std::string variables;
    std::string offsets;
    for (unsigned i = 0; i < 10; ++i) {
      if (below(9) != 0) variables += fmt::format("#{}={}\n", 300 + i, below(3));
      if (below(9) != 0) offsets += fmt::format("T{} L{}. D.{}\n", i + 1, below(2), below(2));
    }
    if (below(4) == 0) variables += "what \t is \\ this\x01\xff\n";
    if (below(6) != 0) set.files.push_back({"M.VAR", variables});
    set.files.push_back({"M.OFFSETS", offsets});
    for (std::string& program : programs) {
      if (below(4) == 0) program = fmt::format("G1 X{}.\n", below(1000));
    }
    if (below(3) == 0)
      std::swap(programs[below(6)], programs[below(6)]);  // renamed, for all that can be reported
    for (std::size_t i = 0; i < programs.size(); ++i) {
      if (programs[i].empty() || below(9) == 0) continue;
      set.files.push_back(
          {fmt::format("P{}.PRG", i), fmt::format("%\nO{:04} (A)\n{}M30\n%\n", i + 1, programs[i])});
    }
    const auto last = machine.latest();
    const Backup stored = take_in(machine, std::move(set), std::int64_t{100000} * number);
    commits.push_back(stored.commit);
    // The one before, any other, and the way back.
    const store::Oid other = commits[below(static_cast<unsigned>(commits.size()))];
    const store::Oid before = last ? last->commit : stored.commit;
    for (const auto& [from, to] :
         {std::pair(before, stored.commit), {other, stored.commit}, {stored.commit, other}}) {
      const Changes whole = compare(machine.state(from), machine.state(to));
      const Changes quick = machine.changes(from, to);
      EXPECT_EQ(gist(quick), gist(whole));
      EXPECT_EQ(quick.gone, whole.gone);
      EXPECT_EQ(quick.come, whole.come);
      ASSERT_EQ(quick.values.size(), whole.values.size());
      for (std::size_t i = 0; i < whole.values.size(); ++i) {
        EXPECT_EQ(quick.values[i].group, whole.values[i].group);
        EXPECT_EQ(quick.values[i].key, whole.values[i].key);
        EXPECT_EQ(quick.values[i].before, whole.values[i].before);
        EXPECT_EQ(quick.values[i].after, whole.values[i].after);
      }
      EXPECT_EQ(quick.programs.size(), whole.programs.size());
    }
    const std::string noted = all_changes(Machine::open(top_ / "shop/mill"));
    fs::remove(file());
    const Machine again = Machine::open(top_ / "shop/mill");
    ASSERT_EQ(again.backups().size(), static_cast<std::size_t>(number));
    ASSERT_EQ(all_changes(again), noted) << "backup " << number;
  }

  // The pages' histories are when()'s answers, item by item; and what is gone is found again.
  const Report report = gather_report(machine, 0);
  EXPECT_GT(report.items.size(), 25U);
  for (const History& history : report.items) {
    auto changes = machine.when(history.address);
    std::reverse(changes.begin(), changes.end());
    ASSERT_EQ(history.versions.size(), changes.size()) << history.address.text();
    for (std::size_t i = 0; i < changes.size(); ++i) {
      auto value = history.versions[i].value;
      if (value && history.is_program()) value = report.text(*value);
      EXPECT_EQ(value, changes[i].after) << history.address.text();
      EXPECT_EQ(report.backups[history.versions[i].backup].number, changes[i].backup.number);
    }
    if (!is_unread(history.address.key)) {
      EXPECT_EQ(machine.search(history.address.text()), std::vector{history.address});
    }
  }
}

TEST_F(ShopIndex, WrittenAfterAKeptTrialEqualsTheOneReadFromGit) {
  Machine machine = enrolled();
  take_in(machine, one_file("M.VAR", "#300=1\n#301=2\n"), 100000);
  begin_trial(machine, *machine.latest(), {"warm-up", "Ida", "", 150000});
  take_in(machine, one_file("M.VAR", "#300=1\n#301=3\n"), 200000);
  Keep keep = plan_keep(machine, find_trial(machine, "warm-up"), {}, {});
  ASSERT_TRUE(keep.merge.clean());
  do_keep(machine, keep, {"warm-up", "Ida", "", 250000});
  const store::Oid kept = machine.latest()->commit;
  ASSERT_FALSE(carried_items(machine.repository(), kept).empty());
  const store::Oid next = take_in(machine, one_file("M.VAR", "#300=1\n#301=3\n"), 300000).commit;

  const auto number = [](const store::CommitInfo& info) {
    const auto backup = backup_from_commit(info);
    return backup ? std::optional(static_cast<std::uint32_t>(backup->number)) : std::nullopt;
  };
  const auto checked = store::Index::check(machine.repository(), {next}, number);
  EXPECT_GE(checked.commits, 1U) << "what the last intake noted";
  EXPECT_EQ(checked.wrong, 0U);
  EXPECT_FALSE(checked.damaged);
  EXPECT_TRUE(store::changes_between(machine.repository(), kept, next).empty());
  const auto changes = machine.when(Address::parse("variables/301"));
  ASSERT_EQ(changes.size(), 2U);
  EXPECT_EQ(changes[0].backup.commit, kept);
}

TEST_F(ShopIndex, GivesNoAnswerThatGitDoesNot) {
  Machine machine = enrolled();
  take_in(machine, one_file("M.VAR", "#300=1\n#301=2\n"), 100000);
  take_in(machine, one_file("M.VAR", "#300=1\n#301=3\n"), 200000);
  take_in(machine, one_file("M.VAR", "#300=1\n"), 300000);
  const auto numbers = [&](const std::string& address) {
    return changes_text(machine.when(Address::parse(address)));
  };
  EXPECT_EQ(numbers("variables/300"), "#1 none to 1; ");
  EXPECT_EQ(numbers("variables/301"), "#3 3 to none; #2 2 to 3; #1 none to 2; ");
  EXPECT_EQ(numbers("variables/302"), "");
  const auto since = machine.since(Group::variables);
  ASSERT_EQ(since.size(), 1U);
  EXPECT_EQ(since[0].since.number, 1);
  take_in(machine, one_file("M.OFFSETS", "T1 L1. D2.\n"), 400000);
  take_in(machine, one_file("M.OFFSETS", "T2 L1. D2.\n"), 500000);
  const std::vector<Address> tool = {Address::parse("offsets/tool/1/diameter"),
                                     Address::parse("offsets/tool/1/length")};
  EXPECT_EQ(machine.search("offsets/tool/1"), tool);
  EXPECT_EQ(machine.search("variables/301"), std::vector{Address::parse("variables/301")});
  EXPECT_TRUE(machine.search("offsets/tool/3").empty());
}

TEST_F(ShopIndex, AnOldBackupThatCameInLateStandsWhereItsDateIs) {
  Machine machine = enrolled();
  take_in(machine, one_file("M.VAR", "#300=1\n#301=5\n"), 500000);
  take_in(machine, one_file("M.VAR", "#300=2\n#301=5\n"), 600000);
  const Address address = Address::parse("variables/300");
  const std::string before = changes_text(machine.when(address));
  EXPECT_EQ(before, "#2 1 to 2; #1 none to 1; ");
  take_in(machine, one_file("M.VAR", "#300=0\n#301=5\n#302=7\n"), 100000);
  take_in(machine, one_file("M.VAR", "#300=1\n#301=4\n"), 200000);
  EXPECT_EQ(changes_text(machine.when(address)), "#2 1 to 2; #4 0 to 1; #3 none to 0; ");
  EXPECT_EQ(changes_text(machine.when(Address::parse("variables/301"))),
            "#1 4 to 5; #4 5 to 4; #3 none to 5; ");
  EXPECT_EQ(changes_text(machine.when(Address::parse("variables/302"))), "#4 7 to none; #3 none to 7; ");
  const auto since = machine.since(Group::variables);
  ASSERT_EQ(since.size(), 2U);
  EXPECT_EQ(since[0].item.value, "2");
  EXPECT_EQ(since[0].since.number, 2);
  EXPECT_EQ(since[1].since.number, 1);
  EXPECT_EQ(machine.search("variables/300"), std::vector{address}) << "of the machine as it is, not of 1970";
}

TEST_F(ShopIndex, TheBackupBeforeOneIsTheOneBeforeItByDateOnATrialToo) {
  Machine machine = enrolled();
  take_in(machine, one_file("M.VAR", "#300=1\n"), 100000);
  take_in(machine, one_file("M.VAR", "#300=2\n"), 300000);
  take_in(machine, one_file("M.VAR", "#300=3\n"), 300000);
  take_in(machine, one_file("M.VAR", "#300=4\n"), 200000);
  const auto before = [&](const char* name) {
    const auto found = machine.before(machine.resolve(name));
    return found ? found->number : 0;
  };
  const auto all = [&] { return std::vector{before("1"), before("2"), before("3"), before("4")}; };
  EXPECT_EQ(all(), (std::vector{0, 4, 2, 1}));
  (void)withdraw(machine, machine.resolve("2"), "wrong", {"Ida", 350000});
  EXPECT_EQ(before("3"), 4);
  EXPECT_EQ(before("4"), 1);
  begin_trial(machine, machine.resolve("3"), {"warm-up", "Ida", "", 400000});
  EXPECT_EQ(before("3"), 4);
  EXPECT_EQ(before("4"), 1);
}

TEST_F(ShopIndex, OneWhoseClockWasWrongIsBehindTheOneStoredBeforeIt) {
  Machine machine = enrolled();
  std::int64_t day = 0;
  const auto in = [&](const char* text, std::int64_t at, std::optional<std::int64_t> dated) {
    IntakeOptions options;
    options.by = "Ida";
    options.at = dated;
    options.now = (day += 2000000) + 60;
    media::Set set = one_file("M.VAR", text);
    set.files.front().modified = at;
    (void)machine.intake(machine.inspect(std::move(set), options), options);
  };
  in("#300=1\n", 2000000, 2000000);
  in("#300=2\n", 4000000, 4000000);
  in("#300=3\n", 1000, std::nullopt);  // the control's clock began again
  in("#300=4\n", 8000000, 8000000);
  ASSERT_TRUE(is_misdated(machine.resolve("3")));
  const Address address = Address::parse("variables/300");
  EXPECT_EQ(changes_text(machine.when(address)), "#4 3 to 4; #3 2 to 3; #2 1 to 2; #1 none to 1; ");
  (void)correct(machine, machine.resolve("3"), {2500000, {}, {}}, {"Ida", 9000000});
  EXPECT_EQ(changes_text(machine.when(address)), "#4 2 to 4; #2 3 to 2; #3 1 to 3; #1 none to 1; ");
}

TEST_F(ShopIndex, AKeptTrialIsWhereItWasMergedWhateverTheDatesOfTheBackupsSay) {
  Machine machine = enrolled();
  take_in(machine, one_file("M.VAR", "#300=1\n#301=2\n"), 100000);
  begin_trial(machine, *machine.latest(), {"warm-up", "Ida", "", 150000});
  take_in(machine, one_file("M.VAR", "#300=1\n#301=3\n"), 200000);
  Keep keep = plan_keep(machine, find_trial(machine, "warm-up"), {}, {});
  do_keep(machine, keep, {"warm-up", "Ida", "", 900000});
  take_in(machine, one_file("M.VAR", "#300=1\n#301=5\n"), 400000);
  EXPECT_EQ(changes_text(machine.when(Address::parse("variables/301"))),
            "#2 3 to 5; kept warm-up 2 to 3; #1 none to 2; ");
}

TEST_F(ShopIndex, AWithdrawnBackupDatesNothing) {
  Machine machine = enrolled();
  take_in(machine, one_file("M.VAR", "#300=1\n"), 100000);
  const Backup wrong = take_in(machine, one_file("M.VAR", "#300=9\n"), 200000);
  take_in(machine, one_file("M.VAR", "#300=1\n#301=2\n"), 300000);
  const Address address = Address::parse("variables/300");
  EXPECT_EQ(changes_text(machine.when(address)), "#3 9 to 1; #2 1 to 9; #1 none to 1; ");
  (void)withdraw(machine, wrong, "another machine's", {"Ida", 400000});
  EXPECT_EQ(changes_text(machine.when(address)), "#1 none to 1; ");
  EXPECT_EQ(machine.since(Group::variables)[0].since.number, 1);
  (void)correct(machine, machine.resolve("3"), {150000, {}, {}}, {"Ida", 500000});
  EXPECT_EQ(changes_text(machine.when(Address::parse("variables/301"))), "#3 none to 2; ");
}

// By date, each against the one before it, as the states themselves say.
TEST_F(ShopIndex, GivesWhatTheStatesByDateSayWhateverTheOrderTheyCameIn) {
  std::mt19937 random(11);
  const auto below = [&](unsigned limit) { return static_cast<unsigned>(random() % limit); };
  Machine machine = enrolled();
  for (unsigned number = 1; number <= 24; ++number) {
    std::string variables;
    for (unsigned i = 0; i < 5; ++i) {
      if (below(5) != 0) variables += fmt::format("#{}={}\n", 300 + i, below(3));
    }
    media::Set set = one_file("M.VAR", (variables + "#400=1\n").c_str());
    if (below(3) != 0)
      set.files.push_back({"P.PRG", fmt::format("%\nO0001\nG1 X{}.\nM30\n%\n", below(3)), std::nullopt});
    const std::int64_t late = below(3) == 0 ? std::int64_t{100000} * below(number) + 50000 : 0;
    take_in(machine, std::move(set), std::int64_t{100000} * number - late);
    if (below(6) == 0) (void)withdraw(machine, *machine.latest(), "wrong", {"Ida", 90000000});
    std::vector<Backup> by_date = machine.backups_by_date();
    ASSERT_TRUE(std::is_sorted(by_date.begin(), by_date.end(),
                               [](const Backup& a, const Backup& b) { return a.at < b.at; }));
    std::erase_if(by_date, [](const Backup& backup) { return backup.withdrawn.has_value(); });
    for (const std::string name : {"variables/300", "variables/301", "variables/302", "variables/303",
                                   "variables/304", "programs/O1"}) {
      const Address address = Address::parse(name);
      std::string wanted;
      std::optional<std::string> before;
      for (const Backup& backup : by_date) {
        const State state = machine.state(backup.commit);
        std::optional<std::string> after;
        if (address.group == Group::programs) {
          if (const Program* program = state.program(address.key)) after = program->text;
        } else if (const auto table = state.table(address.group)) {
          if (const Item* item = find_item(*table, address.key)) after = item->value;
        }
        if (after != before) {
          wanted.insert(0, fmt::format("{} {} to {}; ", name_of(backup), before.value_or("none"),
                                       after.value_or("none")));
        }
        before = after;
      }
      ASSERT_EQ(changes_text(machine.when(address)), wanted) << name << " after " << number;
    }
  }
  const Report report = gather_report(machine, 0);
  for (const History& history : report.items) {  // the pages have those withdrawn too
    std::optional<std::string> before;
    std::size_t next = 0;
    for (std::size_t i = 0; i < report.backups.size(); ++i) {
      if (history.is_program()) continue;
      const auto table = machine.state(report.backups[i].commit).table(history.address.group);
      const Item* item = table ? find_item(*table, history.address.key) : nullptr;
      const auto after = item == nullptr ? std::nullopt : std::optional(item->value);
      if (after != before) {
        ASSERT_LT(next, history.versions.size());
        EXPECT_EQ(history.versions[next].backup, i);
        EXPECT_EQ(history.versions[next].value, after);
        ++next;
      }
      before = after;
    }
  }
}

ItemChange change_of(int number, bool doubtful, const char* before, const char* after) {
  ItemChange change;
  change.backup.number = number;
  if (doubtful) change.backup.worth = Worth::doubtful;
  change.before = before;
  change.after = after;
  return change;
}

TEST(FoldDoubtful, PassesOverALossThatWasPutBackAndNothingElse) {
  const StoodBetween none = [](const Backup&, const Backup&) { return false; };
  const Folded lost = fold_doubtful(
      {change_of(4, false, "0", "1"), change_of(3, true, "1", "0"), change_of(2, false, "5", "1")}, none);
  EXPECT_EQ(changes_text(lost.changes), "#2 5 to 1; ");
  ASSERT_EQ(lost.put_back.size(), 1U);
  EXPECT_EQ(lost.put_back[0].from.number, 3);
  EXPECT_EQ(lost.put_back[0].back.number, 4);
  EXPECT_EQ(lost.put_back[0].meanwhile, "0");

  const Folded other = fold_doubtful({change_of(4, false, "0", "2"), change_of(3, true, "1", "0")}, none);
  EXPECT_EQ(changes_text(other.changes), "#4 0 to 2; #3 1 to 0; ") << "it did not come back as it was";
  const Folded still = fold_doubtful({change_of(3, true, "1", "0")}, none);
  EXPECT_EQ(changes_text(still.changes), "#3 1 to 0; ") << "nothing came after it";
  const Folded good = fold_doubtful({change_of(4, false, "2", "1"), change_of(3, false, "1", "2")}, none);
  EXPECT_EQ(changes_text(good.changes), "#4 2 to 1; #3 1 to 2; ") << "a good backup had it";
}

TEST_F(ShopIndex, WhatAGoodBackupHadTooIsNoLossThatWasPutBack) {
  Machine machine = enrolled();
  const auto in = [&](const char* text, int number, Worth worth) {
    IntakeOptions options;
    options.by = "Ida";
    options.at = std::int64_t{1000000} * number;
    options.now = *options.at + (worth == Worth::good ? 60 : -200000);  // dated ahead: doubtful
    (void)machine.intake(machine.inspect(one_file("M.VAR", text), options), options);
    ASSERT_EQ(machine.latest()->worth, worth) << number;
  };
  const Address address = Address::parse("variables/300");
  const auto text = [&] { return changes_text(machine.without_doubtful(machine.when(address)).changes); };
  const auto since = [&](bool doubtful_too) {
    return machine.since(Group::variables, doubtful_too)[0].since.number;
  };
  in("#300=1\n", 1, Worth::good);
  in("#300=0\n", 2, Worth::doubtful);
  in("#300=1\n", 3, Worth::good);
  EXPECT_EQ(text(), "#1 none to 1; ");
  EXPECT_EQ(since(false), 1);
  EXPECT_EQ(since(true), 3);
  EXPECT_EQ(machine.since(Group::variables)[0].put_back->number, 3);
  const show::Answer said = show::since({machine.facts(), machine.namebook(), {}}, Group::variables,
                                        machine.since(Group::variables), *machine.latest(), {});
  EXPECT_NE(said.text.find("1 item was put back in #3"), std::string::npos) << said.text;
  in("#300=0\n", 4, Worth::doubtful);
  EXPECT_EQ(text(), "#4 1 to 0; #1 none to 1; ");
  in("#300=0\n", 5, Worth::good);
  EXPECT_EQ(since(false), 4) << "first seen in a doubtful one, and true";
  in("#300=1\n", 6, Worth::good);
  EXPECT_EQ(text(), "#6 0 to 1; #4 1 to 0; #1 none to 1; ");
  EXPECT_EQ(since(false), 6);
}

}  // namespace
}  // namespace keepway
