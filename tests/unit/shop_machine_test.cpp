// machine.toml and the commit of a backup: written and read back.
#include <gtest/gtest.h>

#include "shop/backup_commit.hpp"
#include "shop/machine_toml.hpp"

namespace keepway {
namespace {

TEST(MachineToml, ReadsBackWhatItWrote) {
  const MachineFacts facts{"mill-1", "Knee mill \"A\"\n\t\\ ä", "44'71", Units::mm, "own.toml", 14, {}};
  const MachineFacts read = parse_machine_toml(write_machine_toml(facts), "machine.toml");
  EXPECT_EQ(read.name, facts.name);
  EXPECT_EQ(read.title, facts.title);
  EXPECT_EQ(read.serial, facts.serial);
  EXPECT_EQ(read.units, facts.units);
  EXPECT_EQ(read.layout, facts.layout);
  EXPECT_EQ(read.backup_every_days, 14);
  EXPECT_FALSE(read.battery.changed);
}

TEST(MachineToml, TakesIntervalsAndDaysThatMakeSense) {
  const auto read = [](const std::string& text) { return parse_machine_toml(text, "machine.toml"); };
  EXPECT_EQ(read("[battery]\nchanged = 2026-01-31\n").battery.changed, 1'769'817'600);
  EXPECT_EQ(read("battery.changed = \"2026-01-31\"\n").battery.changed, 1'769'817'600);
  EXPECT_EQ(read("[battery]\nevery_months = 6\n").battery.every_months, 6);
  for (const char* wrong :
       {"backup_every_days = 0\n", "backup_every_days = \"7\"\n", "backup_every_days = 99999999999\n",
        "battery = 1\n", "[battery]\nchanged = 5\n", "[battery]\nchanged = \"soon\"\n",
        "[battery]\nchanged = 1969-01-31\n", "[battery]\nevery_months = -1\n",
        "[battery]\nchanged = 2026-01-31T06:00:00Z\n"}) {
    EXPECT_THROW(read(wrong), Error) << wrong;
  }
}

TEST(MachineToml, NamesTheLineThatIsWrong) {
  try {
    parse_machine_toml("machine = \"m\"\n\nunits = \"ell\"\n", "here/machine.toml");
    FAIL();
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::input);
    EXPECT_EQ(error.place().file, "here/machine.toml");
    EXPECT_EQ(error.place().line, 3U);
    EXPECT_FALSE(error.remedy().empty());
  }
}

TEST(BackupCommit, ReadsBackWhatItWrote) {
  Backup backup;
  backup.number = 12;
  backup.at = 1'772'000'000;
  backup.taken = 1'772'000'100;
  backup.who = "Ana";
  backup.note = "before: the ballscrew";
  backup.gist = "2 offsets changed, program O1: odd name added";
  backup.source = "folder drawer/2026";
  backup.digest = std::string(64, 'a');
  backup.worth = Worth::doubtful;
  backup.accepted = true;
  backup.reasons = {"count-fell: offsets fell from 9 to 2", "text-unread: a:1: text"};
  backup.counts.items = {1, 2, 3, 4, 5};
  backup.counts.files = 6;
  backup.counts.bytes = 7'000'000'000ULL;
  backup.reader = 3;
  const store::NewCommit commit = commit_for_backup(backup);
  store::CommitInfo info;
  info.summary = commit.summary;
  info.body = commit.body;
  info.trailers = commit.trailers;
  info.author = commit.author;
  info.at = commit.at;
  info.taken = commit.taken;
  const auto read = backup_from_commit(info);
  ASSERT_TRUE(read);
  EXPECT_EQ(read->number, backup.number);
  EXPECT_EQ(read->at, backup.at);
  EXPECT_EQ(read->taken, backup.taken);
  EXPECT_EQ(read->who, backup.who);
  EXPECT_EQ(read->note, backup.note);
  EXPECT_EQ(read->gist, backup.gist);
  EXPECT_EQ(read->source, backup.source);
  EXPECT_EQ(read->digest, backup.digest);
  EXPECT_EQ(read->worth, backup.worth);
  EXPECT_EQ(read->accepted, backup.accepted);
  EXPECT_EQ(read->reasons, backup.reasons);
  EXPECT_EQ(read->counts, backup.counts);
  EXPECT_EQ(read->reader, backup.reader);
}

TEST(BackupCommit, OthersAreNoBackups) {
  store::CommitInfo info;
  info.summary = "Backup 3: not really";
  EXPECT_FALSE(backup_from_commit(info));
}

TEST(BackupCommit, RubbishInTrailersIsNoCrash) {
  store::CommitInfo info;
  info.trailers = {{"Keepway-Backup", "99999999999999999999999"},
                   {"Keepway-Verdict", "splendid"},
                   {"Keepway-Counts", "= == offsets= files=x bytes=99999999999999999999999 \xff=1"}};
  const auto read = backup_from_commit(info);
  ASSERT_TRUE(read);
  EXPECT_EQ(read->worth, Worth::doubtful) << "what cannot be read is not called good";
  EXPECT_GE(read->number, 0);
}

}  // namespace
}  // namespace keepway
