#include "shop_fixture.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace scenario {

std::vector<int> required_parameters() {
  std::vector<int> numbers;
  const auto six = [&](int first) {
    for (int i = 0; i < 6; ++i) numbers.push_back(first + i);
  };
  six(5161);
  six(5181);
  six(5211);
  numbers.push_back(5220);
  for (int system = 0; system < 9; ++system) six(5221 + system * 20);
  return numbers;
}

Tree mill_files() {
  std::string parameters = "number\tvalue\tcomment\n\n300\t1.25\n301\t-3.5\n302\t7\n";
  for (const int number : required_parameters()) {
    parameters += fmt::format("{}\t{}\n", number,
                              number == 5220    ? "1.0"
                              : number % 20 > 3 ? "0.0"
                                                : fmt::format("-{}.5", number % 20));
  }
  return {{"mill.var", parameters},
          {"mill.tbl",
           "POC FMS TLO DIAM COMMENT\n\n"
           "1 11 5.1 0.5 half inch end mill\n2 12 4.25 0.25 quarter inch drill\n"
           "3 13 3.875 2.0 face mill\n4 14 6.0 0.125 spot drill\n"},
          {"mill.ini", "[slide-x]\nlead = 1\nfastest = 200\n[slide-z]\nfastest = 120\n"},
          {"O1000.ngc",
           "%\nO1000 (BRACKET)\nG20 G90 G54\nT1 M6\nS1200 M3\nG0 X0. Y0.\nG1 Z-.25 F20.\nX2.5\nM98 "
           "P1001\nM30\n%\n"},
          {"O1001.ngc", "%\nO1001 (HOLE)\nG81 Z-.5 R.1 F5.\nG80\nM99\n%\n"}};
}

Tree with(Tree files, const std::string& file, const std::string& was, const std::string& is) {
  std::string& text = files.at(file);
  const std::size_t at = text.find(was);
  if (at == std::string::npos || text.find(was, at + 1) != std::string::npos) {
    ADD_FAILURE() << file << " does not hold '" << was << "' once";
    return files;
  }
  text.replace(at, was.size(), is);
  return files;
}

std::string lathe_layout() {
  return R"toml(layout = 1
title = "Invented lathe control"
units = "inch"

[[source]]
group = "programs"
files = ["*.PRG"]
reader = "blocks"
required = true
comment = ["("]
protected = ["700-799"]

[[source]]
group = "offsets"
files = ["OFFSETS.TXT"]
reader = "words"
required = true
comment = ["("]
[[source.row]]
match = "G10 L2"
address = "work/{P}"
rename = { P = { 1 = "G54", 2 = "G55" } }
fields = { X = "X", Z = "Z" }
[[source.row]]
match = "T"
address = "tool/{T}"
fields = { R = "length" }

[[source]]
group = "variables"
files = ["VARIABLE.TXT"]
reader = "assign"
required = true
comment = ["("]

[[source]]
group = "settings"
files = ["{serial}.PNL"]
reader = "words"
required = true
[[source.row]]
address = "{K}"
fields = { V = "" }

[[source]]
group = "parameters"
files = ["PARAM.TXT"]
reader = "columns"
required = true
split = "comma"
header = 1
columns = [{ name = "number", kind = "whole" }, "value"]
address = "{number}"
fields = { value = "" }

[[source]]
group = "parameters"
files = ["CONTROL.CFG"]
reader = "sections"
)toml";
}

std::string lathe_namebook() {
  return "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n"
         "parameters/12\tSafety switches\t\tbits\t\t\t\t0=door interlock;2=chuck pressure\t\t\tkeep guards "
         "on\n"
         "parameters/20\tX screw lead\tlength\tnumber\t0.1\t1\t0.001\n"
         "parameters/21\tRapid rate\tlength/min\tnumber\t\t\t\n"
         "settings/61\tWork light\t\tyesno\n"
         "offsets/work/*/X\tWork * X\tlength\tnumber\t-20\t20\t0.1\n"
         "offsets/work/*/Z\tWork * Z\tlength\tnumber\n"
         "offsets/tool/*/length\tTool * length\tlength\tnumber\t\t\t0.05\n"
         "variables/300\tParts made\t\tnumber\t\t\t\t\tliving\n";
}

Tree lathe_files() {
  return {{"ALL.PRG",
           "%\nO0100 (SHAFT)\nN10 G20 G97 S800 M3\nN20 G0 X1. Z.1\nN30 G1 Z-2. F.01\nN40 M98 P200\nN50 M30\n"
           "O0200 (GROOVE)\nG1 X.8 F.004\nG0 X1.\nM99\nO701 (PROBE)\nM98 P200 L2\nM99\n%\n"},
          {"OFFSETS.TXT",
           "%\nG10 L2 P1 X-4.25 Z0.5\nG10 L2 P2 X-1. Z3.\nT1 R5.1\nT2 R4.25\nT3 R3.\n"
           "T4 R2.5\n%\n"},
          {"VARIABLE.TXT", "%\n#300=12\n#301=0.25\n#302=-1.5\n%\n"},
          {"3107.PNL", "K61 V1\nK62 V0\nK63 V25\n"},
          {"PARAM.TXT", "number,value\n12,5\n20,0.2\n21,400\n22,7\n"},
          {"CONTROL.CFG", "[PORT]\nspeed = 9600\nparity = even\n"}};
}

void ShopTest::SetUp() {
  const Ran made = keepway({"init", "shop", "--title", "Test shop"}, root());
  ASSERT_EQ(made.exit, 0) << made.err;
}

void ShopTest::TearDown() {
  for (const auto& entry : fs::directory_iterator(shop())) {
    if (fs::exists(entry.path() / ".git")) {
      EXPECT_TRUE(fsck_clean(entry.path()));
    }
  }
}

Json ShopTest::json(Args args, int exit) {
  args.emplace_back("--json");
  const Ran ran = kw(args);
  if (exit >= 0) {
    EXPECT_EQ(ran.exit, exit) << ran.out << ran.err;
  }
  Json answer = Json::parse(ran.out, nullptr, false);
  if (answer.is_discarded() || !answer.is_object() || !answer.contains("schema")) {
    ADD_FAILURE() << "no JSON with a schema: " << ran.out << ran.err;
    return Json::object();
  }
  return answer;
}

fs::path ShopTest::put(const Tree& files) {
  const fs::path folder = root() / fmt::format("backup{}", ++next_);
  write_tree(folder, files);
  return folder;
}

Ran ShopTest::intake(const std::string& machine, const Tree& files, int exit, Args more) {
  const fs::path folder = put(files);
  Args args = {"intake", machine, folder.string()};
  const bool dated = std::find(more.begin(), more.end(), "--at") != more.end();
  if (!dated) {
    args.emplace_back("--at");
    args.push_back(fmt::format("20{:02}-{:02}-{:02}", 20 + next_ / 336, 1 + next_ / 28 % 12, 1 + next_ % 28));
  }
  args.insert(args.end(), more.begin(), more.end());
  Ran ran = kw(args);
  EXPECT_EQ(ran.exit, exit) << ran.out << ran.err;
  fs::remove_all(folder);
  return ran;
}

Json ShopTest::inspect(const std::string& machine, const Tree& files, Args more) {
  const fs::path folder = put(files);
  Args args = {"inspect", machine, folder.string()};
  args.insert(args.end(), more.begin(), more.end());
  return json(args);
}

void ShopTest::loosen(const std::string& machine) {
  const fs::path packs = repository(machine) / ".git" / "objects" / "pack";
  const fs::path aside = root() / "packs";
  fs::remove_all(aside);
  fs::rename(packs, aside);
  fs::create_directory(packs);
  for (const auto& entry : fs::directory_iterator(aside)) {
    if (entry.path().extension() != ".pack") continue;
    const Ran ran =
        run("sh", {"-c", "git unpack-objects -q <\"$1\"", "sh", entry.path().string()}, repository(machine));
    ASSERT_EQ(ran.exit, 0) << ran.err;
  }
}

void ShopTest::enroll_mill() {
  const Ran ran = kw({"enroll", "mill", "--layout", "rs274ngc", "--units", "inch", "--title", "Knee mill"});
  ASSERT_EQ(ran.exit, 0) << ran.err;
}

void ShopTest::enroll_lathe() {
  write_file(root() / "lathe.toml", lathe_layout());
  const Ran ran = kw({"enroll", "lathe", "--layout", (root() / "lathe.toml").string(), "--serial", "3107"});
  ASSERT_EQ(ran.exit, 0) << ran.err;
  // A namebook typed and committed by hand, as its owner may.
  write_file(repository("lathe") / "namebook.tsv", lathe_namebook());
  const Ran commit = git(repository("lathe"), {"-c", "user.name=Owner", "-c", "user.email=owner@example.org",
                                               "commit", "-q", "-a", "-m", "Type the namebook"});
  ASSERT_EQ(commit.exit, 0) << commit.err;
}

std::vector<std::string> ShopTest::heavy(const Json& verdict) {
  std::vector<std::string> codes;
  for (const Json& reason : verdict.at("reasons")) {
    if (reason.at("weight") != "good") codes.push_back(reason.at("code"));
  }
  return codes;
}

Tree kept_tree(const fs::path& folder) {
  Tree tree = read_tree(folder);
  std::erase_if(tree, [](const auto& file) { return file.first.find(".git/keepway/") != std::string::npos; });
  return tree;
}

std::string refs(const fs::path& repository) {
  return git(repository, {"rev-parse", "HEAD"}).out + git(repository, {"for-each-ref"}).out;
}

testing::AssertionResult fsck_clean(const fs::path& repository) {
  const Ran fsck = git(repository, {"fsck", "--strict", "--no-progress", "--no-dangling"});
  if (fsck.exit != 0 || !fsck.out.empty() || !fsck.err.empty()) {
    return testing::AssertionFailure() << "git fsck --strict: " << fsck.exit << "\n" << fsck.out << fsck.err;
  }
  const Ran status = git(repository, {"status", "--porcelain"});
  if (status.exit != 0 || !status.out.empty() || !status.err.empty()) {
    return testing::AssertionFailure() << "git status: " << status.exit << "\n" << status.out << status.err;
  }
  return testing::AssertionSuccess();
}

std::string object_id(const fs::path& repository, const std::string& revision) {
  const Ran ran = git(repository, {"rev-parse", "--verify", revision});
  if (ran.exit != 0) return "";
  return lines_of(ran.out).at(0);
}

}  // namespace scenario
