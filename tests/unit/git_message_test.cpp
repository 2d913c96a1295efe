// What a commit says comes back, and Git's own programs read it the same way. Invented data.
#include "git/message.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

class StoreMessage : public StoreTest {};

NewCommit with(const std::string& summary, const std::string& body, const Trailers& trailers) {
  NewCommit commit;
  commit.summary = summary;
  commit.body = body;
  commit.trailers = trailers;
  return commit;
}

TEST(StoreMessageText, ReadsBackAsGiven) {
  const std::vector<std::string> bodies = {"",
                                           "One line",
                                           "Two\nlines",
                                           "A\n\nB",
                                           "A\n\n\n\nB",
                                           "Note: looks like one",
                                           "A\n\nNote: looks like one\nX: y",
                                           "a:b",
                                           "  indented",
                                           "X: y\n  more"};
  const std::vector<Trailers> all = {{},
                                     {{"Keepway-Verdict", "good"}},
                                     {{"A", ""},
                                      {"A", " spaces "},
                                      {"B", "two\nlines"},
                                      {"C", "C:\\new\\x41"},
                                      {"D", "tab\tbell\x07"},
                                      {"E", "\r\n\n"}},
                                     {{"A", "\xFF\xFE\x00z"}, {"B", "a: b"}, {"C", "\n\nInjected: yes\n"}}};
  for (const std::string& body : bodies) {
    for (const Trailers& trailers : all) {
      const std::string text = write_message(with("Tool 3 changed", body, trailers));
      const Message back = read_message(text);
      EXPECT_EQ(back.summary, "Tool 3 changed");
      EXPECT_EQ(back.body, body) << text;
      EXPECT_EQ(back.trailers, trailers) << text;
    }
  }
}

TEST(StoreMessageText, HostileSummaryAndBodyKeepTheirPlaces) {
  const Message back =
      read_message(write_message(with("a\nInjected: 1\x1b[2J", "x\r\ny\x01\n\n", {{"T", "v"}})));
  EXPECT_EQ(back.summary, "a Injected: 1 [2J");
  EXPECT_EQ(back.body, "x\ny?");
  EXPECT_EQ(back.trailers, (Trailers{{"T", "v"}}));
  EXPECT_EQ(read_message(write_message(with("\n \t", "", {}))).summary, "(no summary)");
  EXPECT_THROW(write_message(with("s", "", {{"bad name", "v"}})), Error);
  EXPECT_THROW(write_message(with("s", "", {{"", "v"}})), Error);
}

TEST(StoreMessageText, ReadsWhatPeopleWrite) {
  const Message plain = read_message("Only this");
  EXPECT_EQ(plain.summary, "Only this");
  EXPECT_TRUE(plain.trailers.empty());
  EXPECT_EQ(read_message("").summary, "");
  EXPECT_EQ(read_message("\n\n").body, "");
  const Message signed_off = read_message("S\n\nBody\n\nSigned-off-by: A <a@b.c>\nNote: long\n  and more\n");
  EXPECT_EQ(signed_off.body, "Body");
  EXPECT_EQ(signed_off.trailers, (Trailers{{"Signed-off-by", "A <a@b.c>"}, {"Note", "long and more"}}));
  const Message mixed = read_message("S\n\nA: b\nnot one\n");
  EXPECT_TRUE(mixed.trailers.empty());
  EXPECT_EQ(mixed.body, "A: b\nnot one");
}

TEST_F(StoreMessage, GitReadsTheSameTrailers) {
  Repository repository = made();
  NewCommit commit = said("Backup");
  commit.body = "Looks: like\n\na trailer: no";
  commit.trailers = {{"Keepway-Verdict", "doubtful"}, {"Keepway-Note", "a\nb"}};
  const Oid id = repository.add("main", {}, {}, commit);
  EXPECT_EQ(git("log -1 --format='%(trailers:only,unfold)'"),
            "Keepway-Verdict: doubtful\nKeepway-Note: a\\nb\n\n");
  const CommitInfo info = repository.info(id);
  EXPECT_EQ(info.body, commit.body);
  EXPECT_EQ(info.trailers, commit.trailers);
  EXPECT_EQ(info.trailer("Keepway-Note"), "a\nb");
  EXPECT_EQ(info.trailer("Absent"), "");
}

TEST_F(StoreMessage, PeopleAreNamedAsGitCanHoldThem) {
  Repository repository = made();
  git("config user.name 'The Shop'");
  git("config user.email shop@example.com");
  NewCommit commit = said("Backup");
  commit.author = "Eve <eve@x>\n\x01 Jr.";
  const Oid id = repository.add("main", {}, {}, commit);
  EXPECT_EQ(repository.info(id).author, "Eve eve@x Jr");
  EXPECT_EQ(git("log -1 --format='%an|%ae|%cn|%ce|%at|%ct'"),
            "Eve eve@x Jr|shop@example.com|The Shop|shop@example.com|1000|1060\n");
  commit.author = "<>\n";
  EXPECT_EQ(repository.info(repository.add("main", {}, {}, commit)).author, "unknown");
  expect_sound();
}

}  // namespace
}  // namespace keepway::store
