// The shop at a glance. Machines, dates and trials are invented.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <set>

#include "base/cache.hpp"
#include "keepway/status.hpp"
#include "media_scratch.hpp"
#include "shop/backup_commit.hpp"
#include "shop/status_memory.hpp"

namespace keepway {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::HasSubstr;

std::int64_t at(const char* day) {
  const std::int64_t time = *parse_time(day, true);
  return time - time % 86'400;
}

TEST(Months, EndWithTheMonth) {
  EXPECT_EQ(months_after(at("2026-01-31"), 1), at("2026-02-28"));
  EXPECT_EQ(months_after(at("2024-01-31"), 1), at("2024-02-29"));
  EXPECT_EQ(months_after(at("2026-01-31"), 12), at("2027-01-31"));
  EXPECT_EQ(months_after(at("2026-12-15"), 1), at("2027-01-15"));
}

Battery battery(const char* changed, int months) {
  return {at(changed), months};
}

TEST(SetBattery, LeavesTheOwnersTextAlone) {
  const std::string owners = "# mine\nmachine = \"m\"   # a remark\nunits = \"mm\"\n";
  EXPECT_EQ(set_battery(owners, "machine.toml", battery("2026-01-31", 12)),
            owners + "\n[battery]\nchanged = 2026-01-31\nevery_months = 12\n");
}

TEST(SetBattery, ChangesOnlyTheValues) {
  const auto set = [](const std::string& text) { return set_battery(text, "m", battery("2026-02-01", 24)); };
  EXPECT_EQ(set("[battery]  # lithium\nchanged = 2025-01-31  # by Ida\nevery_months = 12\n[notes]\na = 1\n"),
            "[battery]  # lithium\nchanged = 2026-02-01  # by Ida\nevery_months = 24\n[notes]\na = 1\n");
  EXPECT_EQ(set("battery = { changed = \"2025-01-31\", every_months = 12 }\n"),
            "battery = { changed = 2026-02-01, every_months = 24 }\n");
  EXPECT_EQ(set("battery.every_months = 12\nunits = \"mm\"\n"),
            "battery.every_months = 24\nbattery.changed = 2026-02-01\nunits = \"mm\"\n");
}

// Whatever the text is like, the answer reads back as asked, with all else as it was; or it is refused.
TEST(SetBattery, IsRightOrRefused) {
  int set = 0;
  for (const std::string text :
       {"", "[battery]", "[battery]\r\nchanged = 2025-01-31\r\n", "battery = {}\n",
        "battery = {every_months=6}\n",
        "title = \"\xC3\xA4\xC3\xB6 [battery]\"\n[battery] # \xC3\xA4\nchanged = 2025-01-31",
        "\"battery\".changed = 2025-01-31\n", "battery.\"changed\" = 2025-01-31\n[other]\nx = 1\n",
        "[ battery ]\nother = \"\"\"\nchanged = 1\n\"\"\"\n"}) {
    try {
      const std::string out = set_battery(text, "m", battery("2026-02-01", 24));
      EXPECT_THAT(out, HasSubstr("2026-02-01"));
      EXPECT_THAT(out, HasSubstr("24"));
      ++set;
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::refused) << text;
      EXPECT_THAT(error.remedy(), HasSubstr("2026-02-01"));
    }
  }
  EXPECT_GE(set, 6);
  EXPECT_THROW(set_battery("battery = 5\n", "m", battery("2026-02-01", 24)), Error);
  EXPECT_THROW(set_battery("[battery\n", "m", battery("2026-02-01", 24)), Error);
}

class Status : public testing::Test {
 protected:
  void enroll(const std::string& name, std::optional<int> days) {
    Shop::Enrollment enrollment;
    enrollment.name = name;
    enrollment.layout = "rs274ngc";
    enrollment.backup_every_days = days;
    enrollment.by = "Ida";
    enrollment.now = at("2026-01-01");
    shop_.enroll(enrollment);
  }
  // A commit as a backup has one, without its files: status looks at no others.
  void back_up(const std::string& name, const char* day, Worth worth, bool confirmed = false) {
    store::Repository repository = store::Repository::open(folder(name));
    Backup backup;
    backup.number = ++numbers_[name];
    backup.at = backup.taken = at(day);
    backup.who = "Ida";
    backup.gist = "no change";
    backup.worth = worth;
    if (worth != Worth::good) backup.reasons = {"count-fell: offsets fell", "text-unread: 1 line"};
    backup.confirmed = confirmed;
    if (confirmed) backup.confirms = std::string(40, 'a');
    repository.add(repository.line(), {}, {}, commit_for_backup(backup));
  }
  void write(const std::string& name, const std::string& file, const std::string& text) {
    std::ofstream(folder(name) / file, std::ios::binary) << text;
  }
  [[nodiscard]] fs::path folder(const std::string& name) const { return shop_.folder() / name; }
  std::vector<std::string> order(const char* day) {
    std::vector<std::string> names;
    for (const MachineStatus& status : shop_status(shop_, at(day))) names.push_back(status.name);
    return names;
  }

  media::Scratch scratch_;
  Shop shop_ = Shop::init(scratch_.path() / "shop", "s");
  std::map<std::string, int> numbers_;
};

TEST_F(Status, MeasuresTheLastGoodBackupAgainstItsInterval) {
  enroll("m", 7);
  back_up("m", "2026-03-01", Worth::good);
  back_up("m", "2026-03-05", Worth::doubtful);
  const MachineStatus status = machine_status(folder("m"));
  EXPECT_EQ(status.trouble, "");
  EXPECT_EQ(status.newest->number, 2);
  EXPECT_EQ(status.last_good->number, 1);
  EXPECT_EQ(status.backup_due, at("2026-03-08"));
  EXPECT_FALSE(status.is_backup_due(at("2026-03-07")));
  EXPECT_TRUE(status.is_backup_due(at("2026-03-08")));
}

TEST_F(Status, CallsForALookAtADoubtfulNewest) {
  enroll("m", 7);
  back_up("m", "2026-03-01", Worth::good);
  EXPECT_FALSE(machine_status(folder("m")).is_due(at("2026-03-02")));
  back_up("m", "2026-03-02", Worth::doubtful);
  EXPECT_NE(machine_status(folder("m")).doubtful(), nullptr);
  EXPECT_TRUE(machine_status(folder("m")).is_due(at("2026-03-02"))) << "the memory may be lost";
  back_up("m", "2026-03-03", Worth::good);
  EXPECT_FALSE(machine_status(folder("m")).is_due(at("2026-03-03")));
}

TEST_F(Status, CallsForAFirstGoodBackup) {
  enroll("m", std::nullopt);
  EXPECT_TRUE(machine_status(folder("m")).is_due(at("2026-01-01")));
  back_up("m", "2026-03-01", Worth::doubtful);
  EXPECT_TRUE(machine_status(folder("m")).is_due(at("2026-03-01")));
  back_up("m", "2026-03-02", Worth::good);
  EXPECT_FALSE(machine_status(folder("m")).is_due(at("2029-03-01"))) << "no interval was set";
}

TEST_F(Status, KnowsTheBattery) {
  enroll("m", std::nullopt);
  back_up("m", "2026-03-02", Worth::good);
  write("m", "machine.toml", "machine = \"m\"\n[battery]\nchanged = 2026-01-31\nevery_months = 1\n");
  const MachineStatus status = machine_status(folder("m"));
  EXPECT_EQ(status.battery.due(), at("2026-02-28"));
  EXPECT_TRUE(status.battery.is_due(at("2026-02-28")));
  EXPECT_FALSE(status.battery.is_due(at("2026-02-27")));
}

TEST_F(Status, PutsWhatIsDueFirst) {
  for (const char* name : {"fresh", "older", "late", "later"}) enroll(name, 10);
  enroll("broken", 10);
  back_up("fresh", "2026-03-09", Worth::good);
  back_up("older", "2026-03-03", Worth::good);
  back_up("late", "2026-02-25", Worth::good);
  back_up("later", "2026-02-20", Worth::good);
  write("broken", "machine.toml", "units = \"ell\"\n");
  EXPECT_THAT(order("2026-03-10"), ElementsAre("broken", "later", "late", "older", "fresh"));
}

TEST_F(Status, ABrokenFolderIsALineNotTheEnd) {
  enroll("whole", 7);
  enroll("no-head", 7);
  enroll("no-objects", 7);
  fs::remove_all(folder("no-head") / ".git" / "refs" / "heads");
  fs::remove_all(folder("no-objects") / ".git" / "objects");
  fs::create_directories(folder("no-git"));
  write("no-git", "machine.toml", "machine = \"x\"\n");
  fs::create_directories(shop_.folder() / "papers");  // no machine at all
  const auto all = shop_status(shop_, at("2026-03-01"));
  ASSERT_EQ(all.size(), 4U);
  for (const MachineStatus& status : all) {
    EXPECT_EQ(status.trouble.empty(), status.name == "whole") << status.name << ": " << status.trouble;
    if (status.name != "whole") {
      EXPECT_NE(status.remedy, "") << status.name;
      EXPECT_TRUE(status.is_due(0));
    }
  }
}

// So many that several threads read them.
TEST_F(Status, ManyMachinesAreEachAsReadAlone) {
  std::set<std::string> names;
  for (int i = 0; i < 48; ++i) {
    const std::string name = fmt::format("m{:02}", i);
    enroll(name, 1 + i % 9);
    if (i % 4 != 0) back_up(name, "2026-03-01", i % 3 == 0 ? Worth::doubtful : Worth::good);
    if (i % 10 == 7) write(name, "machine.toml", "units = \"ell\"\n");
    names.insert(name);
  }
  for (const MachineStatus& status : shop_status(shop_, at("2026-03-05"))) {
    const MachineStatus alone = machine_status(folder(status.name));
    EXPECT_EQ(names.erase(status.name), 1U) << status.name;
    EXPECT_EQ(status.trouble, alone.trouble) << status.name;
    EXPECT_EQ(status.backup_due, alone.backup_due) << status.name;
    EXPECT_EQ(status.last_good.has_value(), alone.last_good.has_value()) << status.name;
  }
  EXPECT_TRUE(names.empty());
}

TEST_F(Status, RemembersALongHistoryAndTrustsNoOldMemory) {
  enroll("m", 7);
  for (int i = 0; i < 40; ++i) {
    back_up("m", "2026-03-01", i % 5 == 0 ? Worth::good : Worth::doubtful, i % 10 == 0);
  }
  const auto check = [&](int newest, int good, int confirmed) {
    const MachineStatus status = machine_status(folder("m"));
    ASSERT_EQ(status.trouble, "");
    EXPECT_EQ(status.newest->number, newest);
    EXPECT_EQ(status.last_good->number, good);
    EXPECT_EQ(status.confirmed, confirmed);
    EXPECT_EQ(status.last_confirming->number, 31);
  };
  const fs::path memory = folder("m") / ".git" / "keepway" / "cache" / "status";
  check(40, 36, 4);
  ASSERT_TRUE(fs::exists(memory));
  check(40, 36, 4);
  back_up("m", "2026-03-02", Worth::doubtful);
  check(41, 36, 4);
  back_up("m", "2026-03-03", Worth::good);
  check(42, 42, 4);
  std::string text;
  std::getline(std::ifstream(memory, std::ios::binary), text, '\0');
  for (std::size_t i = 0; i < text.size(); i += 7) {  // a memory that was cut off or touched is no memory
    std::string touched = text;
    touched[i] = touched[i] == '1' ? '2' : '1';
    std::ofstream(memory, std::ios::binary | std::ios::trunc) << touched;
    check(42, 42, 4);
    std::ofstream(memory, std::ios::binary | std::ios::trunc) << text.substr(0, i);
    check(42, 42, 4);
  }
}

// Where no backup is good the walk to the root is done once, and what it found is right whatever the cache
// holds.
TEST_F(Status, TheBaselineIsFoundWithoutAWalkEachTime) {
  enroll("m", 7);
  const auto baseline = [&] {
    const auto found = Machine::open(folder("m")).last_good();
    return found ? found->number : 0;
  };
  const auto sound = [&] { return status_memory_sound(Machine::open(folder("m")).repository()); };
  const fs::path file = folder("m") / ".git" / "keepway" / "cache" / "status";
  const auto back_up_doubtful = [&](int count) {
    for (int i = 0; i < count; ++i) back_up("m", "2026-03-01", Worth::doubtful);
  };
  back_up_doubtful(20);
  EXPECT_EQ(baseline(), 0);
  ASSERT_TRUE(fs::exists(file));
  EXPECT_EQ(baseline(), 0);
  EXPECT_TRUE(sound());
  back_up("m", "2026-03-02", Worth::good);
  EXPECT_EQ(baseline(), 21);
  back_up_doubtful(20);
  EXPECT_EQ(baseline(), 21);
  back_up_doubtful(3);
  EXPECT_EQ(baseline(), 21);
  EXPECT_TRUE(sound());
  std::string text;
  std::getline(std::ifstream(file, std::ios::binary), text, '\0');
  for (std::size_t i = 0; i < text.size(); i += 5) {
    std::string touched = text;
    touched[i] = touched[i] == '1' ? '2' : '1';
    std::ofstream(file, std::ios::binary | std::ios::trunc) << touched;
    EXPECT_FALSE(sound());
    EXPECT_EQ(baseline(), 21);
  }
  const Machine machine = Machine::open(folder("m"));
  const store::Oid tip = *machine.repository().tip();
  Cache(machine.repository().git_folder()).put("status", fmt::format("{0}\n{0}\n{0}\n\n0\n\n", tip));
  EXPECT_FALSE(sound()) << "whole, and not what a walk finds";
}

}  // namespace
}  // namespace keepway
