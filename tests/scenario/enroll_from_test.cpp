// From a backup on a stick to a first good backup in the shop, without writing a layout. The control is
// invented.
#include <gmock/gmock.h>

#include <chrono>
#include <csignal>
#include <thread>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::HasSubstr;
using testing::Not;

class EnrollFrom : public ShopTest {
 protected:
  static Tree lathe() {
    return {{"TOOLS.PRN",
             "LATHE   SERIAL NO 5512   PAGE 1\r\n\r\nTOOL OFFSETS\r\n---------------------------------\r\n"
             " NO   X-LENGTH   Z-LENGTH  NOTE\r\n---------------------------------\r\n"
             "  1    +12.500    -40.125  Fr\x84sen\r\n  2    +10.000    -38.000  Bohren\r\n\f"
             "LATHE   SERIAL NO 5512   PAGE 2\r\n\r\nTOOL OFFSETS\r\n---------------------------------\r\n"
             " NO   X-LENGTH   Z-LENGTH  NOTE\r\n---------------------------------\r\n"
             " 10     +2.500   -140.000  Gewinde\r\n"},
            {"VALUES.PRN", "R001=+000.2500\r\nR002=-012.0000\r\nR010=+100.0000\r\n"},
            {"PARTS.PRN", "%\r\nO7 (RING)\r\nG21 G0 X40.\r\nG1 Z-2. F0.2\r\nM30\r\n%\r\n"}};
  }
};

TEST_F(EnrollFrom, ShowsWhatItUnderstoodAndStoresNothingOfIt) {
  const fs::path from = put(lathe());
  const Ran ran = kw({"enroll", "lathe-2", "--from", from.string()});
  EXPECT_EQ(ran.exit, 0) << ran.out << ran.err;
  EXPECT_THAT(ran.out, AllOf(HasSubstr("9 values from TOOLS.PRN"), HasSubstr("offsets/tool/1/x-length  12.5"),
                             HasSubstr("3 values from VALUES.PRN"), HasSubstr("variables/R1"),
                             HasSubstr("1 program from PARTS.PRN"), HasSubstr("Fr\u00e4sen")));
  EXPECT_THAT(ran.out, AllOf(HasSubstr("the serial, 5512: from TOOLS.PRN:1"), HasSubstr("CP850"),
                             HasSubstr("Next: keepway intake lathe-2 '" + from.string() + "'")));
  EXPECT_THAT(ran.out, Not(HasSubstr("not understood")));
  EXPECT_EQ(json({"history", "lathe-2"}, 0).at("backups").size(), 0U);
  EXPECT_TRUE(fsck_clean(repository("lathe-2")));
}

TEST_F(EnrollFrom, NamesTheLineOfTheLayoutBehindEachGuess) {
  const Json answer = json({"enroll", "lathe-2", "--from", put(lathe()).string()}, 0);
  const auto layout = lines_of(read_file(repository("lathe-2") / "layout.toml"));
  ASSERT_FALSE(answer.at("guessed").empty());
  for (const Json& guess : answer.at("guessed")) {
    const auto line = guess.at("line").get<std::size_t>();
    ASSERT_GT(line, 0U) << guess;
    ASSERT_LE(line, layout.size());
    EXPECT_THAT(layout[line - 1], HasSubstr(guess.at("key").get<std::string>() + " ")) << guess;
  }
}

TEST_F(EnrollFrom, TheFirstIntakeIsGoodAndRestoresByteForByte) {
  ASSERT_EQ(kw({"enroll", "lathe-2", "--from", put(lathe()).string()}).exit, 0);
  const Ran taken = intake("lathe-2", lathe(), 0, {"--at", "2026-03-01"});
  EXPECT_THAT(taken.out, HasSubstr("GOOD"));
  EXPECT_EQ(json({"when", "lathe-2", "offsets/tool/10/z-length"}, 0).at("changes").at(0).at("after"),
            "-140.");
  EXPECT_EQ(kw({"restore", "lathe-2", "--at", "1", "--to", (root() / "back").string()}).exit, 0);
  EXPECT_EQ(read_file(root() / "back/TOOLS.PRN"), lathe().at("TOOLS.PRN"));
}

TEST_F(EnrollFrom, ATextIsPutBackInTheControlsCharacterSet) {
  ASSERT_EQ(kw({"enroll", "lathe-2", "--from", put(lathe()).string()}).exit, 0);
  intake("lathe-2", lathe(), 0, {"--at", "2026-03-01"});
  const Tree later = with(lathe(), "TOOLS.PRN", "Fr\x84sen", "Saegen");
  intake("lathe-2", later, 0, {"--at", "2026-03-02"});
  const Ran back = kw({"restore", "lathe-2", "--at", "1", "--to", (root() / "back").string(), "--only",
                       "offsets/tool/1/note"});
  ASSERT_EQ(back.exit, 0) << back.out << back.err;
  EXPECT_THAT(read_file(root() / "back/TOOLS.PRN"), HasSubstr("Fr\x84sen"));
}

TEST_F(EnrollFrom, AValueIsPutBackAsTheControlWritesNumbers) {
  const Tree files = {{"TOOLS.CSV", "nr;length;radius\n1;75,20;6,0\n2;80,05;4,0\n"},
                      {"AXES.LST", "NR       WERT\n  1    12.500-\n  2     0.250\n  3     7.000-\n"}};
  ASSERT_EQ(kw({"enroll", "mill-3", "--from", put(files).string()}).exit, 0);
  intake("mill-3", files, 0, {"--at", "2026-03-01"});
  Tree later = with(files, "TOOLS.CSV", "75,20", "98,75");
  later = with(later, "AXES.LST", "12.500-", "12.750-");
  later = with(later, "AXES.LST", "0.250\n", "0.250-\n");
  intake("mill-3", later, 1, {"--at", "2026-03-02"});
  const auto put_back = [&](const std::string& address) {
    return kw({"restore", "mill-3", "--at", "1", "--to", (root() / "back").string(), "--only", address});
  };
  const Ran comma = put_back("offsets/tool/1/length");
  ASSERT_EQ(comma.exit, 0) << comma.out << comma.err;
  EXPECT_THAT(read_file(root() / "back/TOOLS.CSV"), HasSubstr("1;75,20;6,0"));
  fs::remove_all(root() / "back");
  const Ran behind = put_back("parameters/1");
  ASSERT_EQ(behind.exit, 0) << behind.out << behind.err;
  EXPECT_THAT(read_file(root() / "back/AXES.LST"), HasSubstr("  1    12.500-\n"));
  fs::remove_all(root() / "back");
  EXPECT_THAT(put_back("parameters/2").err, HasSubstr("its sign is written behind it"));
}

TEST_F(EnrollFrom, ANumberWithAnExponentIsNotSpelledOtherwise) {
  const Tree files = {{"PITCH.LST", "NR       WERT\n  1    1.25E+01\n  2   -2.5E-01\n  3    0.0E+00\n"}};
  ASSERT_EQ(kw({"enroll", "mill-3", "--from", put(files).string()}).exit, 0);
  intake("mill-3", files, 0, {"--at", "2026-03-01"});
  intake("mill-3", with(files, "PITCH.LST", "1.25E+01", "1.50E+01"), 0, {"--at", "2026-03-02"});
  const Ran back =
      kw({"restore", "mill-3", "--at", "1", "--to", (root() / "back").string(), "--only", "parameters/1"});
  EXPECT_THAT(back.err, HasSubstr("it is written with an exponent"));
}

TEST_F(EnrollFrom, ABackupOfAnotherMachineIsRefusedByItsHeading) {
  ASSERT_EQ(kw({"enroll", "lathe-2", "--from", put(lathe()).string()}).exit, 0);
  Tree other = lathe();
  for (std::size_t at; (at = other["TOOLS.PRN"].find("5512")) != std::string::npos;)
    other["TOOLS.PRN"].replace(at, 4, "6613");
  EXPECT_EQ(kw({"intake", "lathe-2", put(other).string()}).exit, 5);
  EXPECT_THAT(heavy(inspect("lathe-2", other).at("verdict")), Contains("wrong-serial"));
}

TEST_F(EnrollFrom, TryShowsWhatALayoutInWorkMakesOfTheFiles) {
  const fs::path from = put(lathe());
  ASSERT_EQ(kw({"enroll", "lathe-2", "--from", from.string()}).exit, 0);
  const fs::path layout = repository("lathe-2") / "layout.toml";
  const Ran good = kw({"try", layout.string(), from.string()});
  EXPECT_EQ(good.exit, 0) << good.out;
  EXPECT_THAT(good.out, AllOf(HasSubstr("9 values from TOOLS.PRN"), HasSubstr("Nothing is left unread.")));
  std::string text = read_file(layout);
  const std::size_t skip = text.find("skip ");
  ASSERT_NE(skip, std::string::npos);
  text.erase(skip, text.find('\n', skip) + 1 - skip);
  write_file(root() / "worse.toml", text);
  const Ran worse = kw({"try", (root() / "worse.toml").string(), from.string()});
  EXPECT_EQ(worse.exit, 1) << worse.out;
  EXPECT_THAT(worse.out, HasSubstr("not understood "));
  const Json facts = json({"try", (root() / "worse.toml").string(), from.string()}, 1);
  EXPECT_GE(facts.at("understood").at("unread").size(), 3U);
  EXPECT_THAT(facts.at("understood").at("unread").at(0).at("why").get<std::string>(), HasSubstr("say skip"));
}

TEST_F(EnrollFrom, TryWatchesTheLayoutAndShowsWhatEachSaveChanges) {
  const fs::path from = put(lathe());
  ASSERT_EQ(kw({"enroll", "lathe-2", "--from", from.string()}).exit, 0);
  const std::string good = read_file(repository("lathe-2") / "layout.toml");
  const fs::path layout = root() / "work.toml";
  const std::size_t skip = good.find("skip ");
  ASSERT_NE(skip, std::string::npos);
  std::string worse = good;
  worse.erase(skip, good.find('\n', skip) + 1 - skip);
  write_file(layout, worse);
  const Started watching =
      start(KEEPWAY_PROGRAM, {"try", "--watch", layout.string(), from.string()}, root(), {});
  const auto seen = [&](const fs::path& file, const std::string& text) {
    for (int i = 0; i < 200; ++i) {
      if (read_file(file).find(text) != std::string::npos) return true;
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
    }
    return false;
  };
  EXPECT_TRUE(seen(watching.out, "Ctrl-C ends this")) << read_file(watching.out);
  write_file(layout, "layout = 1\n[[source]\n");
  EXPECT_TRUE(seen(watching.err, "work.toml:2")) << read_file(watching.err);
  write_file(layout, good);
  EXPECT_TRUE(seen(watching.out, "This save: ")) << read_file(watching.out);
  EXPECT_TRUE(seen(watching.out, "-> 0\n")) << read_file(watching.out);
  write_file(layout, good + "# no more than a remark\n");
  EXPECT_TRUE(seen(watching.out, "changes nothing of what is read"));
  kill(watching.pid, SIGINT);
  const Ran ran = wait_for(watching);
  EXPECT_EQ(ran.exit, 0) << "the last layout leaves nothing unread";
  EXPECT_THAT(ran.out, HasSubstr("not understood"));
}

TEST_F(EnrollFrom, SaysWhatToGiveWhenNothingSaysHowTheMachineWrites) {
  const Ran ran = kw({"enroll", "lathe-2"});
  EXPECT_EQ(ran.exit, 2);
  EXPECT_THAT(ran.err, AllOf(HasSubstr("--from PATH"), HasSubstr("--layout")));
  EXPECT_EQ(kw({"enroll", "lathe-2", "--from", ".", "--layout", "rs274ngc"}).exit, 2);
}

TEST_F(EnrollFrom, LeavesNoMachineWhereNothingCanBeRead) {
  const Ran ran = kw({"enroll", "lathe-2", "--from", put({{"X.BIN", "\x01\x02\x03"}}).string()});
  EXPECT_EQ(ran.exit, 3) << ran.out;
  EXPECT_FALSE(fs::exists(repository("lathe-2")));
}

TEST_F(EnrollFrom, AnotherSerialThanTheFilesNameIsSaidAndTheyAreRefused) {
  const fs::path from = put(lathe());
  const Ran ran = kw({"enroll", "lathe-2", "--from", from.string(), "--serial", "4711"});
  EXPECT_EQ(ran.exit, 1) << ran.out << ran.err;
  EXPECT_THAT(ran.err, HasSubstr("TOOLS.PRN:1 names the serial 5512, and 4711 was given"));
  EXPECT_THAT(ran.out, HasSubstr("The files name the serial 5512"));
  const Ran refused = kw({"intake", "lathe-2", from.string()});
  EXPECT_EQ(refused.exit, 5) << refused.out;
  EXPECT_THAT(refused.out, HasSubstr("PAGE 1' does not carry this machine's serial,"));
  // The neighbour's, by the serial that the files name.
  EXPECT_EQ(kw({"enroll", "lathe-3", "--from", from.string(), "--serial", "5512"}).exit, 0);
}

TEST_F(EnrollFrom, ASerialThatTheFilesDoNotCarryTellsNoMachinesApartAndThatIsSaid) {
  Tree files = lathe();
  files.erase("TOOLS.PRN");
  EXPECT_THAT(kw({"enroll", "lathe-2", "--from", put(files).string(), "--serial", "4711"}).out,
              HasSubstr("? the serial, 4711: "));
  EXPECT_THAT(kw({"enroll", "lathe-3", "--from", put(files).string()}).out,
              HasSubstr("? the serial: the files name none"));
}

TEST_F(EnrollFrom, AProgramIsShownInTheLayoutsCharacterSet) {
  Tree files = lathe();
  files["PARTS.PRN"] = "%\r\nO7 (RING GER\x8eT)\r\nG21 G0 X40.\r\nM30\r\n%\r\n";
  const fs::path from = put(files);
  ASSERT_LE(kw({"enroll", "lathe-2", "--from", from.string()}).exit, 1);
  ASSERT_EQ(kw({"intake", "lathe-2", from.string()}).exit, 0);
  EXPECT_THAT(kw({"show", "lathe-2", "programs/O7"}).out, HasSubstr("(RING GER\u00c4T)"));
  EXPECT_THAT(json({"show", "lathe-2", "programs/O7"}, 0).at("program").get<std::string>(),
              HasSubstr("(RING GER\u00c4T)"));
  EXPECT_THAT(kw({"show", "lathe-2", "programs/O7", "--normal"}).out, HasSubstr("GER\u00c4T"));
}

TEST_F(EnrollFrom, APictureBesideABackupIsNoTextOfAControl) {
  Tree files = lathe();
  std::uint32_t state = 7;
  for (int i = 0; i < 9000; ++i) {
    state = state * 1'664'525U + 1'013'904'223U;
    files["IMG_1.JPG"] += static_cast<char>(state >> 24U);
  }
  ASSERT_LE(kw({"enroll", "lathe-2", "--from", put(lathe()).string()}).exit, 1);
  EXPECT_THAT(kw({"inspect", "lathe-2", put(files).string()}).out,
              HasSubstr("IMG_1.JPG: no text of a control"));
  const Ran alone = kw({"enroll", "lathe-3", "--from", put({{"IMG_1.JPG", files.at("IMG_1.JPG")}}).string()});
  EXPECT_EQ(alone.exit, 3) << alone.out;
  EXPECT_THAT(alone.err, HasSubstr("not text from a control"));
}

}  // namespace
}  // namespace scenario
