// What a restore will do, said before it is done. All data are invented.
#include "keepway/plan.hpp"
#include "restore_support.hpp"

namespace keepway {
namespace {

using test::Bench;

const std::string layout = R"(layout = 1
[[source]]
group = "programs"
files = ["*.nc"]
reader = "blocks"
protected = ["700-799"]
[[source]]
group = "offsets"
files = ["*.offsets"]
reader = "assign"
[[source]]
group = "parameters"
files = ["{serial}.par"]
reader = "assign"
)";
const Namebook& book() {
  static const Namebook namebook = Namebook::parse(
      "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n"
      "parameters/7\tBaud rate\t\tnumber\t\t\t\t\tpower-cycle\t\tWrong values silence the port\n"
      "offsets/9\tPart count\t\tnumber\t\t\t\t\tliving\n",
      "namebook.tsv");
  return namebook;
}

std::vector<std::string> files_of(const RestorePlan& plan) {
  std::vector<std::string> out;
  for (const LoadStep& step : plan.steps) out.push_back(step.file);
  return out;
}

TEST(Plan, TellsOrderChangesLocksAndPowerCycles) {
  const ReadContext context{"M77", Units::inch};
  const Bench known(
      layout, {{"A.offsets", "#1=1 #9=50\n"}, {"M77.par", "#7=1 #8=2\n"}, {"P.nc", "O1\nM30\n"}}, context);
  const Bench meant(layout,
                    {{"A.offsets", "#1=2 #9=40\n"},
                     {"M77.par", "#7=3\n"},
                     {"P.nc", "O1\nM30\nO701\nM99\n"},
                     {"X.bin", "?"}},
                    context);
  const Reading reading = meant.reading();
  const RestorePlan out =
      plan({meant.set, reading, meant.layout, book(), known.reading().state, std::nullopt, {}, {}});
  EXPECT_EQ(files_of(out), (std::vector<std::string>{"M77.par", "A.offsets", "P.nc", "X.bin"}));
  EXPECT_EQ(out.groups, (std::vector<Group>{Group::parameters, Group::offsets, Group::programs}));
  ASSERT_EQ(out.values.size(), 3U);
  EXPECT_EQ(out.values[0].change.key, "7");
  EXPECT_EQ(out.values[0].caution, "Wrong values silence the port");
  EXPECT_EQ(out.power_cycle, (std::vector<Address>{{Group::parameters, "7"}}));
  EXPECT_EQ(out.values[1].change.key, "1");
  EXPECT_EQ(out.values[1].change.before, "1");
  EXPECT_EQ(out.values[1].change.after, "2");
  EXPECT_TRUE(out.values[2].living);
  ASSERT_EQ(out.programs.size(), 1U);
  EXPECT_EQ(out.programs[0].name, "O701");
  ASSERT_EQ(out.locks.size(), 2U);
  EXPECT_EQ(out.locks[0].kind, LockKind::parameter);
  EXPECT_EQ(out.locks[1].programs, std::vector<std::string>{"O701"});
  // Parameter 8 is on the machine and not in the files; X.bin is no source's.
  ASSERT_EQ(out.cannot.size(), 2U);
  EXPECT_EQ(out.cannot[0].address.text(), "parameters/8");
  EXPECT_EQ(out.cannot[1].place.file, "X.bin");
}

TEST(Plan, SpeaksOnlyOfTheFilesThatAreLoaded) {
  const ReadContext context{"M77", Units::inch};
  const Bench known(layout, {{"A.offsets", "#1=1\n"}, {"M77.par", "#7=1\n"}, {"P.nc", "O2\nM30\n"}}, context);
  const Bench meant(layout, {{"A.offsets", "#1=2\n"}, {"M77.par", "#7=3\n"}}, context);
  const Reading reading = meant.reading();
  const RestorePlan out = plan({meant.set,
                                reading,
                                meant.layout,
                                book(),
                                known.reading().state,
                                std::vector<std::string>{"A.offsets"},
                                {},
                                {}});
  EXPECT_EQ(files_of(out), std::vector<std::string>{"A.offsets"});
  ASSERT_EQ(out.values.size(), 1U);
  EXPECT_EQ(out.values[0].change.group, Group::offsets);
  EXPECT_TRUE(out.locks.empty());
  EXPECT_TRUE(out.cannot.empty());
}

TEST(Plan, SaysThatAProgramTakenOutStaysOnTheMachine) {
  const Bench known(layout, {{"A.offsets", "#1=1\n"}, {"P.nc", "O2\nM30\n"}});
  State target = known.reading().state;
  target.programs.clear();
  const Composed made = known.composed(target, {"programs/O2"});
  const RestorePlan out = plan({made.set, made.reading, known.layout, book(), known.reading().state,
                                made.touched, made.dropped, made.refused});
  EXPECT_TRUE(out.steps.empty());
  ASSERT_EQ(out.cannot.size(), 1U);
  EXPECT_EQ(out.cannot[0].address.text(), "programs/O2");
  EXPECT_NE(out.cannot[0].remedy.find("delete"), std::string::npos);
}

TEST(Plan, WarnsOfAFileWithAnotherMachinesSerial) {
  const Bench known(layout, {{"M77.par", "#7=1\n"}}, {"M77", Units::inch});
  const Bench meant(layout, {{"M78.par", "#7=1\n"}}, {"M77", Units::inch});
  const Reading reading = meant.reading();
  const RestorePlan out =
      plan({meant.set, reading, meant.layout, book(), known.reading().state, std::nullopt, {}, {}});
  ASSERT_EQ(out.cannot.size(), 1U);
  EXPECT_EQ(out.cannot[0].place.file, "M78.par");
  EXPECT_NE(out.cannot[0].why.find("does not carry this machine's serial"), std::string::npos);
}

TEST(Plan, SaysThatTheOldNameOfARenamedProgramStays) {
  const std::string body = "\nG0 X1\nG1 Y2 F3\nG1 Y4\nM30\n";
  const Bench known(layout, {{"P.nc", "O1" + body}});
  const Bench meant(layout, {{"P.nc", "O2" + body}});
  const Reading reading = meant.reading();
  const RestorePlan out =
      plan({meant.set, reading, meant.layout, book(), known.reading().state, std::nullopt, {}, {}});
  ASSERT_EQ(out.programs.size(), 1U);
  EXPECT_EQ(out.programs[0].kind, ProgramChangeKind::renamed);
  ASSERT_EQ(out.cannot.size(), 1U);
  EXPECT_EQ(out.cannot[0].address.text(), "programs/O1");
  EXPECT_NE(out.cannot[0].remedy.find("delete"), std::string::npos);
}

TEST(Plan, PassesOnWhatWasRefused) {
  const Bench known(layout, {{"A.offsets", "#1=1\n"}});
  State target = test::with_value(known.reading().state, "offsets/1", "4");
  target.table(Group::offsets)->push_back({"2", "5"});
  const Composed made = known.possible(target, {"offsets"});
  const RestorePlan out = plan({made.set, made.reading, known.layout, book(), known.reading().state,
                                made.touched, made.dropped, made.refused});
  ASSERT_EQ(out.values.size(), 1U);
  EXPECT_EQ(out.values[0].change.after, "4");
  ASSERT_EQ(out.cannot.size(), 1U);
  EXPECT_EQ(out.cannot[0].address.text(), "offsets/2");
}

}  // namespace
}  // namespace keepway
