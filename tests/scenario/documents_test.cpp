// What the documents say is what the program does: each command in README and in the guide and the references
// is one that the parser takes, the sessions that README and the guide show are what the program prints, and
// the layouts read.
#include <gmock/gmock.h>

#include <algorithm>
#include <chrono>
#include <regex>
#include <set>
#include <utility>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

const fs::path source = KEEPWAY_SOURCE;
const std::vector<std::string> documents{"README.md", "demo-repo/GUIDE.md", "src/layout/LAYOUT.md",
                                         "src/namebook/NAMEBOOK.md"};

struct CommandLine {
  Args words;  // behind "keepway"
  std::string text;
  bool whole = true;  // a line that people copy; else a mention in a sentence, which may name a command alone
};

// The words of one command, as a shell takes them; ends at an operator, a comment or the line's end.
Args words_of(std::string_view line) {
  Args words;
  std::string word;
  bool any = false;
  char quote = 0;
  for (const char c : line) {
    if (quote != 0) {
      if (c == quote)
        quote = 0;
      else
        word += c;
    } else if (c == '"' || c == '\'') {
      quote = c;
      any = true;
    } else if (c == ' ' || std::string_view("&|;)>").find(c) != std::string_view::npos ||
               (c == '#' && !any)) {
      if (any) words.push_back(std::exchange(word, ""));
      any = false;
      if (c != ' ') return words;
    } else {
      word += c;
      any = true;
    }
  }
  if (any) words.push_back(word);
  return words;
}

// Each "keepway " in a piece of code where a command may begin.
void find_commands(std::string_view code, bool whole, std::vector<CommandLine>& found) {
  constexpr std::string_view program = "keepway ";
  for (std::size_t at = code.find(program); at != std::string_view::npos; at = code.find(program, at + 1)) {
    if (at > 0 && code[at - 1] != ' ' && code[at - 1] != '(') continue;
    found.push_back({words_of(code.substr(at + program.size())), std::string(code), whole});
  }
}

// What is between backticks on a line.
std::vector<std::string> quoted(const std::string& line) {
  std::vector<std::string> spans;
  for (std::size_t open = line.find('`'); open != std::string::npos;) {
    const std::size_t close = line.find('`', open + 1);
    if (close == std::string::npos) break;
    spans.push_back(line.substr(open + 1, close - open - 1));
    open = line.find('`', close + 1);
  }
  return spans;
}

std::vector<CommandLine> commands_of(const std::string& markdown) {
  std::vector<CommandLine> found;
  bool fenced = false;
  bool session = false;  // there only the lines with a prompt are commands
  for (const std::string& line : lines_of(markdown)) {
    if (line.starts_with("```")) {
      fenced = !fenced;
      session = line == "```console";
    } else if (session && !line.starts_with("$ ")) {
      continue;
    } else if (fenced || line.starts_with("    ")) {
      find_commands(line, true, found);
    } else {
      for (const std::string& span : quoted(line)) {
        // A table's command with something behind its name is typed as it is; a name alone is a mention.
        const bool whole = line.starts_with('|') && std::count(span.begin(), span.end(), ' ') > 1;
        if (span.starts_with("keepway ")) find_commands(span, whole, found);
      }
    }
  }
  return found;
}

// What the parser has against a command; empty when it takes it. It is run where there is no shop and where
// none of its paths is, so that nothing comes of it: absolute paths lead into `nowhere`.
std::string complaint(const CommandLine& command, const fs::path& nowhere) {
  Args args = command.words;
  for (std::string& word : args) {
    if (word.starts_with('/')) word = nowhere.string() + word;
  }
  const Ran ran = keepway(args, nowhere);
  const bool parsed = ran.exit != 2 || ran.err.find("--help'") == std::string::npos;
  if (parsed) return "";
  const bool unknown = ran.err.find("has no command") != std::string::npos ||
                       ran.err.find("has no option") != std::string::npos ||
                       ran.err.find("not expected") != std::string::npos;
  return command.whole || unknown ? ran.err : "";
}

TEST(Documents, HaveNoCommandThatTheParserRefuses) {
  const Scratch scratch;
  std::set<std::string> seen;
  for (const std::string& document : documents) {
    const auto commands = commands_of(read_file(source / document));
    EXPECT_GE(commands.size(), 3U) << document;
    for (const CommandLine& command : commands) {
      EXPECT_EQ(complaint(command, scratch.path()), "") << document << ": " << command.text;
      if (!command.words.empty()) seen.insert(command.words.front());
    }
  }
  EXPECT_GE(seen.size(), 25U) << "the commands are not found in the documents";
}

TEST(Documents, ACommandOrOptionThatDoesNotExistIsFound) {
  const Scratch scratch;
  for (const std::string line :
       {"    keepway intaek mill-1 there", "    keepway intake mill-1 there --nte x",
        "    keepway trial mill-1 begn x", "    keepway pile mill-1 there --dates year-first",
        "    $ keepway history", "| to know | `keepway hstory mill-1` |",
        "see `keepway restore mill-1 --at 1 --too x`", "| a card | `keepway sheet mill-1` |",
        "    30 6 * * 1  out=$(keepway --shp /srv/shop status) || echo \"$out\""}) {
    const auto commands = commands_of(line + "\n");
    ASSERT_EQ(commands.size(), 1U) << line;
    EXPECT_NE(complaint(commands.front(), scratch.path()), "") << line;
  }
}

TEST(Documents, ReadmeFitsItsSize) {
  const auto lines = lines_of(read_file(source / "README.md"));
  EXPECT_LE(lines.size(), 150U);
  for (const std::string& line : lines) {
    const auto characters = std::count_if(
        line.begin(), line.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80; });
    EXPECT_LE(characters, 100) << line;
  }
}

// Files and folders that README names are there.
TEST(Documents, TheirLinksLeadSomewhere) {
  for (const std::string& document : documents) {
    const std::string text = read_file(source / document);
    for (std::size_t at = text.find("]("); at != std::string::npos; at = text.find("](", at + 1)) {
      const std::string where = text.substr(at + 2, text.find(')', at) - at - 2);
      EXPECT_TRUE(fs::exists(source / where)) << document << ": " << where;
    }
  }
}

// One command of a session with the lines that the document shows below it.
struct Step {
  std::string line;
  std::vector<std::string> shown;
};

// The ```console blocks of a document, in order: one session.
std::vector<Step> session_of(const std::string& document) {
  std::vector<Step> steps;
  bool inside = false;
  for (const std::string& line : lines_of(read_file(source / document))) {
    if (line.starts_with("```")) {
      inside = line == "```console";
    } else if (inside && line.starts_with("$ ")) {
      steps.push_back({line.substr(2), {}});
    } else if (inside) {
      EXPECT_FALSE(steps.empty()) << document << ": output before the first command: " << line;
      if (!steps.empty()) steps.back().shown.push_back(line);
    }
  }
  return steps;
}

// Whether `shown` is `real`, where a line "…" means any lines.
testing::AssertionResult shows(const std::vector<std::string>& shown, const std::vector<std::string>& real) {
  std::size_t at = 0;
  bool any = false;
  for (const std::string& each : shown) {
    if (each == "…") {
      any = true;
      continue;
    }
    while (any && at < real.size() && real[at] != each) ++at;
    any = false;
    if (at == real.size() || real[at] != each) return testing::AssertionFailure() << "not printed: " << each;
    ++at;
  }
  if (any || at == real.size()) return testing::AssertionSuccess();
  return testing::AssertionFailure() << "printed and not shown: " << real[at];
}

TEST(Documents, ALineThatIsNotPrintedIsFound) {
  const std::vector<std::string> real{"a", "b", "c", "d"};
  EXPECT_TRUE(shows({"a", "…", "c", "d"}, real));
  EXPECT_TRUE(shows({"…", "b", "…"}, real));
  EXPECT_FALSE(shows({"a", "b", "c"}, real));
  EXPECT_FALSE(shows({"a", "…", "e", "…"}, real));
  EXPECT_FALSE(shows({"…", "c", "b", "…"}, real));
  EXPECT_FALSE(shows({"a", "c", "…"}, real));
}

// Runs a document's session in a folder that has demo-repo, and compares what is printed.
void run_session(const std::string& document, std::size_t least) {
  const Scratch scratch;
  fs::copy(source / "demo-repo", scratch.path() / "demo-repo", fs::copy_options::recursive);
  fs::path folder = scratch.path();
  std::size_t commands = 0;
  for (auto& [line, shown] : session_of(document)) {
    SCOPED_TRACE(document + ": " + line);
    Args words = words_of(line);
    ASSERT_FALSE(words.empty());
    const std::string program = words.front();
    words.erase(words.begin());
    if (program == "cd") {
      folder /= words.at(0);
      continue;
    }
    if (program == "cp") {
      fs::copy(folder / words.at(0), folder / words.at(1), fs::copy_options::overwrite_existing);
      continue;
    }
    ASSERT_EQ(program, "keepway");
    ++commands;
    const Ran ran = keepway(words, folder);
    const bool refused =
        std::any_of(shown.begin(), shown.end(), [](const auto& each) { return each.starts_with("REFUSED"); });
    EXPECT_TRUE(refused ? ran.exit == 5 : ran.exit == 0 || ran.exit == 1) << ran.exit << '\n' << ran.err;
    // An empty line at the end only separates it from the next command.
    while (!shown.empty() && shown.back().empty()) shown.pop_back();
    EXPECT_TRUE(shows(shown, lines_of(ran.out))) << ran.out;
  }
  EXPECT_GE(commands, least);
}

TEST(Documents, ReadmesSessionIsWhatTheProgramPrints) {
  run_session("README.md", 5);
}

TEST(Documents, TheGuidesDemoIsWhatTheProgramPrints) {
  run_session("demo-repo/GUIDE.md", 15);
}

// All matches of an expression with one group.
std::set<std::string> matches(const std::string& text, const std::regex& expression) {
  std::set<std::string> found;
  for (std::sregex_iterator at(text.begin(), text.end(), expression), end; at != end; ++at)
    found.insert((*at)[1].str());
  return found;
}

TEST(Documents, TheLayoutReferenceNamesEachKeyOfTheParserAndNoOther) {
  // The parser asks its form for each key by name.
  const std::regex asked(
      R"re((?:(?:form|inner|step)(?:\.\w+\(|, )|constexpr std::string_view key = )"([a-z_]+)")re");
  std::set<std::string> keys;
  for (const auto& file : fs::directory_iterator(source / "src/layout")) {
    if (file.path().extension() == ".cpp") keys.merge(matches(read_file(file.path()), asked));
  }
  EXPECT_GE(keys.size(), 40U) << "the keys are not found in the sources";

  std::set<std::string> named;
  bool table = false;  // one whose rows explain keys
  for (const std::string& line : lines_of(read_file(source / "src/layout/LAYOUT.md"))) {
    if (line.starts_with("```")) continue;
    const auto spans = quoted(line);
    for (const std::string& span : spans) named.merge(matches(span, std::regex("([a-z_]+)")));
    table = line.starts_with("| key |") || (table && line.starts_with('|'));
    if (table && !spans.empty() && line.starts_with("| `") && !spans.front().starts_with('[')) {
      EXPECT_TRUE(keys.contains(spans.front())) << "no key of the parser: " << spans.front();
    }
  }
  for (const std::string& key : keys) EXPECT_TRUE(named.contains(key)) << "not in LAYOUT.md: " << key;
}

// The commands of one section of the guide, those in its code blocks and tables.
std::vector<CommandLine> section_of(const std::string& name) {
  const std::string guide = read_file(source / "demo-repo/GUIDE.md");
  const std::size_t begin = guide.find("\n## " + name + ": ");
  EXPECT_NE(begin, std::string::npos) << name;
  return commands_of(guide.substr(begin + 1, guide.find("\n## ", begin + 1) - begin - 1));
}

// The guide's own example, from the first command to the server, on invented backups. Paths of the guide lead
// into the test's folder.
class GuidesExample : public testing::Test {
 protected:
  [[nodiscard]] fs::path root() const { return scratch_.path(); }
  [[nodiscard]] fs::path shop() const { return root() / "home/shop"; }

  // Backup by backup the origin of G54 moves: a value to restore and to ask for.
  static Tree files(int number) {
    Tree files = mill_files();
    for (auto& [name, text] : files) {
      const std::size_t row = name.ends_with(".var") ? text.find("\n5221") : std::string::npos;
      if (row == std::string::npos) continue;
      const std::size_t end = text.find('\n', row + 1);
      text.replace(row, end - row, "\n5221\t-" + std::to_string(number) + ".5");
    }
    return files;
  }

  [[nodiscard]] std::string here(std::string word) const {
    constexpr std::string_view server = "ssh://git@server/";
    if (word.starts_with(server)) return "file://" + (root() / word.substr(server.size())).string();
    if (word == "/srv/shop") return shop().string();
    if (word.starts_with("~/")) return (root() / "home" / word.substr(2)).string();
    return word.starts_with('/') ? root().string() + word : word;
  }

  // Runs what it can be run of a section; a command that answers 0 or 1 does what the guide says.
  void follow(const std::string& name) {
    for (const CommandLine& command : section_of(name)) {
      const std::string& text = command.text;
      const auto has = [&](const char* part) { return text.find(part) != std::string::npos; };
      const bool alone = command.words.size() < 2 && command.words.front() != "status";  // a mention
      // A device, what goes on until Ctrl-C, a session that is compared above, and what only another machine
      // or another choice has.
      if (alone || has("/dev/sdX") || has("keepway view") || has("--watch") || has("../demo-repo/") ||
          has("mill-1 keep") || has("O1234") || has("help "))
        continue;
      Args args;
      for (const std::string& word : command.words) args.push_back(here(word));
      const Ran ran = keepway(args, fs::exists(shop()) ? shop() : root());
      EXPECT_TRUE(ran.exit == 0 || ran.exit == 1) << name << ": " << text << '\n'
                                                  << ran.exit << ran.out << ran.err;
      ++followed_;
    }
  }

  std::size_t followed_ = 0;

 private:
  Scratch scratch_;
};

TEST_F(GuidesExample, Works) {
  const fs::path media = root() / "media";
  fs::create_directories(root() / "home");
  write_tree(media / "stick/MILL1", files(9));
  // Older than the drawer: what is older than the last backup taken in is doubtful, as the guide says.
  using namespace std::chrono_literals;
  const std::chrono::sys_seconds noon = std::chrono::sys_days{2026y / 1 / 31} + 12h;
  for (const auto& file : fs::directory_iterator(media / "stick/MILL1"))
    fs::last_write_time(file.path(), fs::file_time_type::clock::from_sys(noon));
  for (int day = 1; day <= 8; ++day)
    write_tree(media / "drawer" / ("2026-02-0" + std::to_string(day)), files(day));
  follow("Start");
  ASSERT_TRUE(fs::exists(shop() / "mill-1/layout.toml"));
  ASSERT_EQ(
      keepway({"names", "mill-1", "edit", "parameters/slide-x/lead", "--name", "Screw lead"}, shop()).exit,
      0);
  follow("Drawer");
  follow("Status");
  write_tree(root() / "second", files(4));
  ASSERT_LE(keepway({"intake", "mill-2", (root() / "second").string()}, shop()).exit, 1);
  follow("Questions");
  follow("Media");
  write_tree(media / "stick/AFTER", files(9));
  follow("Restore");
  follow("Trials");
  follow("Pages");
  follow("Battery");
  fs::remove_all(media / "stick/mill-1");
  ASSERT_EQ(git(shop(), {"clone", "-q", "mill-1", (media / "stick/mill-1").string()}).exit, 0);
  follow("Audit");
  follow("Git");
  fs::create_directories(root() / "srv/git");
  ASSERT_EQ(git(root(), {"init", "-q", "--bare", (root() / "srv/git/mill-1.git").string()}).exit, 0);
  follow("Server");
  EXPECT_GE(followed_, 40U);
}

class DocumentsInAShop : public ShopTest {};

// The code between ```toml fences of a document.
std::vector<std::string> toml_of(const fs::path& document) {
  std::vector<std::string> blocks;
  bool inside = false;
  for (const std::string& line : lines_of(read_file(document))) {
    if (line == "```toml") {
      blocks.emplace_back();
      inside = true;
    } else if (line == "```") {
      inside = false;
    } else if (inside) {
      blocks.back() += line + "\n";
    }
  }
  return blocks;
}

TEST_F(DocumentsInAShop, TheLayoutThatTheReferenceShowsReadsTheDemo) {
  const auto blocks = toml_of(source / "src/layout/LAYOUT.md");
  ASSERT_EQ(blocks.size(), 2U);
  const fs::path layout = root() / "mill.toml";
  write_file(layout, blocks[0] + blocks[1]);
  const Ran enrolled = kw({"enroll", "knee-mill", "--layout", layout.string(), "--serial", "417"});
  ASSERT_EQ(enrolled.exit, 0) << enrolled.err;
  const Ran taken = kw({"intake", "knee-mill", (source / "demo-repo/drawer/knee-mill/2026-01-05").string()});
  EXPECT_EQ(taken.exit, 0) << taken.out << taken.err;
  EXPECT_THAT(taken.out, HasSubstr("parameters 55 · settings 16 · offsets 36 · variables 11 · programs 6"));
}

TEST_F(DocumentsInAShop, HelpPrintsEachTopic) {
  const Json list = json({"help"}, 0);
  ASSERT_GE(list["topics"].size(), 12U);
  const std::string shown = kw({"help"}).out;
  const std::map<std::string, std::string> whole{{"guide", "demo-repo/GUIDE.md"},
                                                 {"layout", "src/layout/LAYOUT.md"},
                                                 {"namebook", "src/namebook/NAMEBOOK.md"}};
  const std::string guide = read_file(source / "demo-repo/GUIDE.md");
  std::set<std::string> names;
  for (const Json& topic : list["topics"]) {
    const std::string name = topic["topic"];
    EXPECT_EQ(name.find_first_not_of("abcdefghijklmnopqrstuvwxyz"), std::string::npos) << name;
    EXPECT_TRUE(names.insert(name).second) << "two topics are called " << name;
    EXPECT_THAT(shown, HasSubstr("  " + name + " "));
    const std::string markdown = json({"help", name}, 0)["markdown"];
    if (whole.contains(name)) {
      EXPECT_EQ(markdown, read_file(source / whole.at(name)));
    } else {
      EXPECT_TRUE(markdown.starts_with("## ")) << name;
      EXPECT_THAT(guide, HasSubstr(markdown));
    }
    const Ran text = kw({"help", name});
    EXPECT_EQ(text.exit, 0) << text.err;
    EXPECT_THAT(text.out, HasSubstr(std::string(topic["title"])));
  }
  for (const auto& [name, file] : whole) EXPECT_TRUE(names.contains(name)) << name;
}

TEST_F(DocumentsInAShop, HelpForAWrongTopicSaysTheNearest) {
  const Ran near = kw({"help", "drawr"});
  EXPECT_EQ(near.exit, 2);
  EXPECT_THAT(near.err, HasSubstr("did you mean 'drawer'?"));
  const Ran command = kw({"help", "intake"});
  EXPECT_EQ(command.exit, 2);
  EXPECT_THAT(command.err, HasSubstr("keepway intake --help"));
  EXPECT_THAT(kw({"help", "something-else"}).err, HasSubstr("'keepway help' lists the topics"));
  EXPECT_EQ(kw({"help", "DRAWER"}).exit, 0);
}

TEST_F(DocumentsInAShop, ManualPagesAreWhatGroffTakes) {
  const bool groff = fs::exists("/usr/bin/groff");
  for (const std::string name : {"guide", "layout", "namebook"}) {
    const Ran page = kw({"help", "--man", name});
    ASSERT_EQ(page.exit, 0) << page.err;
    EXPECT_THAT(page.out, HasSubstr(".TH \"KEEPWAY\\-"));
    EXPECT_THAT(page.out, HasSubstr("\n.SH NAME\nkeepway\\-" + name + " \\- "));
    if (!groff) continue;
    write_file(root() / "page", page.out);
    const Ran set =
        run("/usr/bin/groff", {"-man", "-Kutf8", "-Tutf8", "-ww", (root() / "page").string()}, root());
    EXPECT_EQ(set.exit, 0);
    EXPECT_EQ(set.err, "") << name;
  }
  if (!groff) GTEST_SKIP() << "groff is not installed: the pages were not set";
}

}  // namespace
}  // namespace scenario
