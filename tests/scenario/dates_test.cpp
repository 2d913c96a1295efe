// `when` against Git's own history of the state files, over a generated history of 300 backups.
#include <fmt/format.h>

#include <chrono>
#include <iostream>
#include <optional>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

constexpr int backups = 300;
constexpr const char* layout =
    "layout = 1\n"
    "[[source]]\ngroup = \"variables\"\nfiles = \"*.VAR\"\nreader = \"assign\"\n"
    "[[source]]\ngroup = \"offsets\"\nfiles = \"*.OFFSETS\"\nreader = \"words\"\n"
    "[[source.row]]\naddress = \"tool/{T}\"\nfields = { L = \"length\", D = \"diameter\" }\n"
    "[[source]]\ngroup = \"parameters\"\nfiles = \"*.CFG\"\nreader = \"sections\"\n"
    "[[source]]\ngroup = \"programs\"\nfiles = \"*.PRG\"\nreader = \"blocks\"\n";

using Values = std::map<std::string, std::string>;  // by address

// One item's change as a backup number with the values before and after.
struct Change {
  int number = 0;
  std::optional<std::string> before;
  std::optional<std::string> after;
  bool operator==(const Change&) const = default;
};
void PrintTo(const Change& change, std::ostream* out) {
  *out << '#' << change.number << ' ' << change.before.value_or("(none)") << " -> "
       << change.after.value_or("(gone)");
}

std::string number_text(Random& random) {
  return fmt::format("{}{}.{}", random.once_in(3) ? "-" : "", 1 + random.below(40), 1 + random.below(9));
}

// The machine's memory, and one day's work on it: values set, new, gone and back.
class Memory {
 public:
  explicit Memory(std::uint64_t seed) : random_(seed) {
    for (int i = 0; i < 60; ++i) addresses_.push_back(fmt::format("variables/{}", 300 + i * 7));
    for (int i = 1; i <= 25; ++i) {
      addresses_.push_back(fmt::format("offsets/tool/{}/length", i));
      addresses_.push_back(fmt::format("offsets/tool/{}/diameter", i));
    }
    for (int i = 0; i < 30; ++i) addresses_.push_back(fmt::format("parameters/PART{}/key{}", i % 5, i));
    for (const std::string& address : addresses_) {
      if (!random_.once_in(5)) values_[address] = number_text(random_);
    }
    for (int i = 1; i <= 8; ++i) programs_[fmt::format("O{}", i * 100)] = 1;
  }

  void work() {
    if (random_.once_in(10)) return;  // an exact repeat
    for (std::size_t i = random_.below(6); i > 0; --i) {
      const std::string& address = random_.of(addresses_);
      if (values_.contains(address) && random_.once_in(4)) {
        gone_[address] = values_.at(address);
        values_.erase(address);
      } else if (gone_.contains(address) && random_.once_in(2)) {
        values_[address] = gone_.at(address);  // back with its old value
      } else {
        values_[address] = number_text(random_);
      }
    }
    if (random_.once_in(4)) {
      const std::string name = fmt::format("O{}", (1 + random_.below(8)) * 100);
      const auto found = programs_.find(name);
      if (found == programs_.end()) {
        programs_[name] = 1 + random_.below(50);
      } else if (random_.once_in(4)) {
        programs_.erase(found);
      } else {
        found->second = 1 + random_.below(50);
      }
    }
  }

  Tree files() {
    std::vector<std::string> variables;
    std::vector<std::string> offsets;
    std::map<std::string, std::string> parts;
    for (const auto& [address, value] : values_) {
      const std::string key = address.substr(address.find('/') + 1);
      if (address.rfind("variables/", 0) == 0) variables.push_back(fmt::format("#{}={}\n", key, value));
      if (address.rfind("offsets/", 0) == 0) {
        const bool length = key.find("length") != std::string::npos;
        const std::string tool = key.substr(5, key.rfind('/') - 5);
        offsets.push_back(fmt::format("T{} {}{}\n", tool, length ? 'L' : 'D', value));
      }
      if (address.rfind("parameters/", 0) == 0) {
        const std::size_t slash = key.find('/');
        parts[key.substr(0, slash)] += fmt::format("{} = {}\n", key.substr(slash + 1), value);
      }
    }
    random_.shuffle(variables);
    random_.shuffle(offsets);
    Tree files = {{"M.VAR", fmt::format("{}", fmt::join(variables, ""))},
                  {"M.OFFSETS", fmt::format("{}", fmt::join(offsets, ""))},
                  {"M.CFG", ""}};
    for (const auto& [part, text] : parts) files["M.CFG"] += "[" + part + "]\n" + text;
    for (const auto& [name, depth] : programs_)
      files[name + ".PRG"] = fmt::format("%\n{}\nG1 Z-{} F10\nM30\n%\n", name, depth);
    return files;
  }

  [[nodiscard]] const Values& values() const { return values_; }
  [[nodiscard]] const std::vector<std::string>& addresses() const { return addresses_; }

 private:
  Random random_;
  std::vector<std::string> addresses_;
  Values values_;
  Values gone_;
  std::map<std::string, std::size_t> programs_;
};

// A key as a basic regular expression that fits inside /…/.
std::string key_pattern(const std::string& key) {
  std::string out;
  for (const char c : key) (c == '/' || c == '.' ? out += '\\' : out) += c;
  return out;
}

std::string table_file(const std::string& group) {
  return "state/" + group + ".tsv";
}

class Dates : public ShopTest {
 protected:
  std::map<std::string, int> number_of_;  // by commit

  void learn_numbers() {
    const Json history = json({"history", "m"}, 0);
    for (const Json& backup : history.at("backups")) number_of_[backup.at("commit")] = backup.at("number");
  }

  // What `when` says of one item, newest first.
  std::vector<Change> when(const std::string& address) {
    std::vector<Change> changes;
    const auto text = [](const Json& value) {
      return value.is_null() ? std::nullopt : std::optional(value.get<std::string>());
    };
    const Json answer = json({"when", "m", "--doubtful", address});
    if (answer.contains("error")) {  // the machine never had such an item
      EXPECT_EQ(answer.at("error").at("exit"), 2) << address;
      return changes;
    }
    for (const Json& change : answer.at("changes"))
      changes.push_back(
          {change.at("backup").at("number"), text(change.at("before")), text(change.at("after"))});
    return changes;
  }

  // Every item's changes as one `git log -p` of a table tells them.
  std::map<std::string, std::vector<Change>> from_git_log(const std::string& group) {
    std::map<std::string, std::vector<Change>> all;
    const Ran log = git(repository("m"), {"log", "-p", "-U0", "--no-color", "--no-ext-diff", "--no-textconv",
                                          "--no-renames", "--format=commit %H", "--", table_file(group)});
    int number = 0;
    std::map<std::string, Change> open;
    const auto close = [&] {
      for (const auto& [address, change] : open) all[address].push_back(change);
      open.clear();
    };
    for (const std::string& line : lines_of(log.out)) {
      if (line.rfind("commit ", 0) == 0) {
        close();
        number = number_of_.at(line.substr(7));
        continue;
      }
      const bool minus = line[0] == '-' && line.rfind("---", 0) != 0;
      const bool plus = line[0] == '+' && line.rfind("+++", 0) != 0;
      const std::size_t tab = line.find('\t');
      if ((!minus && !plus) || tab == std::string::npos) continue;
      Change& change = open[group + "/" + line.substr(1, tab - 1)];
      change.number = number;
      (minus ? change.before : change.after) = line.substr(tab + 1);
    }
    close();
    return all;
  }
};

TEST_F(Dates, WhenAgreesWithGitLogAndBlameOverThreeHundredBackups) {
  const auto begun = std::chrono::steady_clock::now();
  write_file(root() / "m.toml", layout);
  ASSERT_EQ(kw({"enroll", "m", "--layout", (root() / "m.toml").string()}).exit, 0);

  // The truth, kept while the history is made.
  Memory memory(2026);
  std::map<std::string, std::vector<Change>> truth;
  Values before;
  for (int number = 1; number <= backups; ++number) {
    if (number > 1) memory.work();
    const Ran ran = keepway(
        {"intake", "m", put(memory.files()).string(), "--at",
         fmt::format("20{:02}-{:02}-{:02}", 20 + number / 336, 1 + number / 28 % 12, 1 + number % 28)},
        shop());
    ASSERT_TRUE(ran.exit == 0 || ran.exit == 1) << ran.out << ran.err;
    for (const std::string& address : memory.addresses()) {
      const auto was = before.find(address);
      const auto is = memory.values().find(address);
      Change change{number, std::nullopt, std::nullopt};
      if (was != before.end()) change.before = was->second;
      if (is != memory.values().end()) change.after = is->second;
      if (change.before == change.after) continue;
      auto& changes = truth[address];
      changes.insert(changes.begin(), change);
    }
    before = memory.values();
  }
  learn_numbers();
  ASSERT_EQ(number_of_.size(), static_cast<std::size_t>(backups));

  // Every item that there ever was: the truth, `when` and `git log -p` are one.
  std::map<std::string, std::vector<Change>> logged;
  for (const char* group : {"variables", "offsets", "parameters"}) logged.merge(from_git_log(group));
  std::size_t checked = 0;
  for (const std::string& address : memory.addresses()) {
    const std::vector<Change> said = when(address);
    EXPECT_EQ(said, truth[address]) << address;
    EXPECT_EQ(said, logged[address]) << address << " by git log -p";
    ++checked;
  }
  EXPECT_GE(checked, 130U);

  // `git log -L` and `-G` on the item's own row.
  std::size_t sampled = 0;
  std::size_t removed_and_back = 0;
  for (const std::string& address : memory.addresses()) {
    const std::string group = address.substr(0, address.find('/'));
    const std::string key = address.substr(group.size() + 1);
    std::vector<int> wanted;
    for (const Change& change : truth[address]) wanted.push_back(change.number);
    std::vector<int> found;
    const Ran by_text = git(repository("m"), {"log", "--no-textconv", "--format=%H", "-G", "^" + key + "\t",
                                              "--", table_file(group)});
    for (const std::string& commit : lines_of(by_text.out)) found.push_back(number_of_.at(commit));
    EXPECT_EQ(found, wanted) << address << " by git log -G";
    removed_and_back += std::count_if(truth[address].begin(), truth[address].end(),
                                      [](const Change& change) { return !change.before; }) > 1;
    if (!memory.values().contains(address)) continue;

    // -L follows the row back to where it last came in; where neighbours changed with it, it reports them
    // too.
    const Ran traced =
        git(repository("m"), {"log", "--no-color", "--no-ext-diff", "--no-textconv", "--format=commit %H",
                              "-L", "/^" + key_pattern(key) + "\t/,+1:" + table_file(group)});
    EXPECT_EQ(traced.exit, 0) << traced.err;
    std::vector<int> rows;
    int number = 0;
    for (const std::string& line : lines_of(traced.out)) {
      if (line.rfind("commit ", 0) == 0) number = number_of_.at(line.substr(7));
      const bool own = (line[0] == '+' || line[0] == '-') && line.compare(1, key.size() + 1, key + "\t") == 0;
      if (own && (rows.empty() || rows.back() != number)) rows.push_back(number);
    }
    std::vector<int> life;  // back to the newest coming in
    for (const Change& change : truth[address]) {
      life.push_back(change.number);
      if (!change.before) break;
    }
    ASSERT_GE(rows.size(), life.size()) << address;
    EXPECT_TRUE(std::equal(life.begin(), life.end(), rows.begin())) << address << " by git log -L";
    EXPECT_TRUE(std::includes(wanted.rbegin(), wanted.rend(), rows.rbegin(), rows.rend())) << address;
    ++sampled;
  }
  EXPECT_GE(sampled, 100U);
  EXPECT_GE(removed_and_back, 20U) << "the history should have rows that went and came back";

  // `when --all` against `git blame`, each row of each table.
  for (const char* group : {"variables", "offsets", "parameters"}) {
    std::map<std::string, std::pair<std::string, int>> blamed;
    const Ran blame =
        git(repository("m"), {"blame", "--no-textconv", "--porcelain", "--", table_file(group)});
    std::string commit;
    for (const std::string& line : lines_of(blame.out)) {
      if (line.size() > 41 && line.find(' ') == 40) commit = line.substr(0, 40);
      if (line[0] != '\t') continue;
      const std::size_t tab = line.find('\t', 1);
      blamed[fmt::format("{}/{}", group, line.substr(1, tab - 1))] = {line.substr(tab + 1),
                                                                      number_of_.at(commit)};
    }
    std::map<std::string, std::pair<std::string, int>> said;
    const Json dated = json({"when", "m", "--doubtful", "--all", group}, 0);
    for (const Json& item : dated.at("items"))
      said[item.at("address")] = {item.at("value"), item.at("backup")};
    EXPECT_EQ(said, blamed) << group;
    EXPECT_GE(said.size(), 15U);
  }

  // Programs: the file's own log.
  std::size_t programs = 0;
  const Json dated = json({"when", "m", "--doubtful", "--all", "programs"}, 0);
  for (const Json& item : dated.at("items")) {
    const std::string address = item.at("address");
    const std::string file = fmt::format("state/programs/O{:0>5}.nc", address.substr(address.find("/O") + 2));
    std::vector<int> log;
    const Ran reported = git(repository("m"), {"log", "--format=%H", "--", file});
    for (const std::string& commit : lines_of(reported.out)) log.push_back(number_of_.at(commit));
    std::vector<int> said;
    const Json answer = json({"when", "m", "--doubtful", address}, 0);
    for (const Json& change : answer.at("changes")) said.push_back(change.at("backup").at("number"));
    EXPECT_EQ(said, log) << address;
    ASSERT_FALSE(log.empty()) << file;
    EXPECT_EQ(item.at("backup"), log.front()) << address;
    ++programs;
  }
  EXPECT_GE(programs, 3U);

  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begun;
  std::cout << fmt::format("300 backups, {} items checked, {} by git log -L: {:.1f} s\n", checked, sampled,
                           took.count());
  RecordProperty("seconds", fmt::format("{:.1f}", took.count()));
}

TEST_F(Dates, WhenFindsAnItemByAnyPartOfItsName) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  intake("mill", with(mill_files(), "mill.tbl", "2 12 4.25", "2 12 4.30"), 0);
  const Json hits = json({"when", "mill", "diameter"}, 1).at("hits");
  EXPECT_EQ(hits.size(), 4U) << "listed, not guessed among";
  const Json one = json({"when", "mill", "tool 2 LENGTH"}, 0);
  EXPECT_EQ(one.at("address"), "offsets/tool/2/length");
  ASSERT_EQ(one.at("changes").size(), 2U);
  EXPECT_EQ(one.at("changes")[0].at("before"), "4.25");
  EXPECT_EQ(one.at("changes")[0].at("after"), "4.3");
  EXPECT_EQ(one.at("changes")[0].at("delta"), "+0.05");
  EXPECT_EQ(one.at("changes")[0].at("backup").at("number"), 2);
  EXPECT_EQ(kw({"when", "mill", "no such name"}).exit, 2);
}

TEST_F(Dates, WhenTellsOfAnItemThatIsGone) {
  enroll_mill();
  intake("mill", mill_files(), 0);
  intake("mill", with(mill_files(), "mill.var", "302\t7\n", ""), 1);
  const Json answer = json({"when", "mill", "variables/302"}, 0);
  ASSERT_EQ(answer.at("changes").size(), 2U);
  EXPECT_TRUE(answer.at("changes")[0].at("after").is_null());
  EXPECT_EQ(answer.at("changes")[0].at("before"), "7");
  EXPECT_TRUE(answer.at("changes")[1].at("before").is_null());
}

}  // namespace
}  // namespace scenario
