#include "histories_machines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace histories {
namespace {

using Files = std::map<std::string, std::string>;
using Lines = std::vector<std::string>;
using keepway::media::Set;

std::string number(Dice& dice, long low, long high) {  // in thousandths
  const long value = dice.between(low, high);
  return fmt::format("{}{}.{:03}", value < 0 ? "-" : "", std::abs(value) / 1000, std::abs(value) % 1000);
}

// --- programs ----------------------------------------------------------------------------------

std::string move(Dice& dice) {
  switch (dice.below(6)) {
    case 0:
      return fmt::format("G0 X{} Y{}", number(dice, -9000, 9000), number(dice, -9000, 9000));
    case 1:
      return fmt::format("g1 z{} f{}", number(dice, -900, 0), dice.between(5, 40));
    case 2:
      return fmt::format("G2 X{} Y{} I{} J0", number(dice, 0, 4000), number(dice, 0, 4000),
                         number(dice, 1, 900));
    case 3:
      return fmt::format("( pass {} )", dice.between(1, 9));
    case 4:
      return fmt::format("#<depth> = [#<depth> - {}]", number(dice, 10, 90));
    default:
      return fmt::format("X{} ; corner", number(dice, -9000, 9000));
  }
}

Lines moves(Dice& dice, long low, long high) {
  Lines out;
  for (long i = dice.between(low, high); i > 0; --i) out.push_back(move(dice));
  return out;
}

std::string joined(const Lines& lines) {
  std::string out;
  for (const std::string& line : lines) out += line + "\n";
  return out;
}

// With a `%` pair, with M2 or M30; or a subroutine, which has an end of its own.
std::string program(Dice& dice, int label) {
  const std::string body = joined(moves(dice, 8, 60));
  switch (dice.below(4)) {
    case 0:
      return fmt::format("%\n(job {})\nG20 G90 G54\n{}%\n", label, body);
    case 1:
      return fmt::format("G21 G90\nT{} M6\n{}M2\n", dice.between(1, 12), body);
    case 2:
      return fmt::format(
          "o{0} sub\n#1 = 0\no{1} while [#1 LT {2}]\n{3}#1 = [#1 + 1]\no{1} endwhile\no{0} endsub\n", label,
          label + 1, dice.between(2, 9), body);
    default:
      return fmt::format("; job {}\ng20\n{}o{} if [#<depth> LT 0]\n  G0 Z1\no{} endif\nM30\n", label, body,
                         label, label);
  }
}

// Some lines in the middle become others.
std::string edited(const std::string& text, Dice& dice) {
  Lines lines;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  if (lines.size() < 8) return text;
  const std::size_t at = 3 + dice.below(lines.size() - 6);
  const Lines fresh = moves(dice, 0, 4);
  lines.erase(lines.begin() + static_cast<long>(at));
  lines.insert(lines.begin() + static_cast<long>(at), fresh.begin(), fresh.end());
  return joined(lines);
}

std::string pick(const Files& files, const std::string& ending, Dice& dice) {
  Lines names;
  for (const auto& [name, text] : files) {
    if (name.ends_with(ending)) names.push_back(name);
  }
  return names.empty() ? "" : names[dice.below(names.size())];
}

// An evening's work on programs: some edited, one new, one deleted, one given another name.
void work_on_programs(Files& files, const std::string& folder, Dice& dice) {
  for (long i = dice.between(0, 3); i > 0; --i) {
    const std::string name = pick(files, ".ngc", dice);
    if (!name.empty()) files[name] = edited(files[name], dice);
  }
  const int label = static_cast<int>(dice.between(100, 900)) * 10;
  if (dice.percent(40)) files[fmt::format("{}part{}.ngc", folder, label)] = program(dice, label);
  const std::string other = pick(files, ".ngc", dice);
  if (other.empty()) return;
  if (dice.percent(12))
    files.erase(other);
  else if (dice.percent(8)) {
    const std::string text = files[other];
    files.erase(other);
    files[fmt::format("{}old_{}.ngc", folder, label)] = text;
  }
}

// --- tables ------------------------------------------------------------------------------------

struct Tool {
  std::string length, diameter, comment;
};
using Tools = std::map<int, Tool>;

Tools new_tools(Dice& dice) {
  Tools tools;
  for (int i = 1; i <= 14; ++i)
    tools[i] = {number(dice, 500, 6000), number(dice, 30, 1000), fmt::format("cutter {}", i)};
  return tools;
}

void work_on_tools(Tools& tools, Dice& dice) {
  for (long i = dice.between(0, 3); i > 0; --i) {
    auto tool = tools.begin();
    std::advance(tool, static_cast<long>(dice.below(tools.size())));
    tool->second.length = number(dice, 500, 6000);
  }
  const int pocket = static_cast<int>(dice.between(1, 24));
  if (!dice.percent(15)) return;
  if (tools.contains(pocket) && tools.size() > 9)
    tools.erase(pocket);
  else
    tools[pocket] = {number(dice, 500, 6000), number(dice, 30, 1000), fmt::format("end mill {}", pocket)};
}

// NISTIR 6556, 2.3 and table 1.
std::string in_columns(const Tools& tools, const char* heading) {
  std::string out = heading;
  for (const auto& [at, tool] : tools)
    out += fmt::format("{0:3} {0:3} {1:>8} {2:>8}  {3}\n", at, tool.length, tool.diameter, tool.comment);
  return out;
}

std::string in_words(const Tools& tools) {
  std::string out;
  for (const auto& [at, tool] : tools)
    out += fmt::format("T{0} P{0} Z{1} D{2} ;{3}\n", at, tool.length, tool.diameter, tool.comment);
  return out;
}

using Numbers = std::map<int, std::string>;
Numbers new_numbers() {
  Numbers numbers;
  for (const int first : {5161, 5181, 5211, 5221, 5241, 5261, 5281, 5301, 5321, 5341, 5361, 5381}) {
    for (int axis = 0; axis < 6; ++axis) numbers[first + axis] = "0.000000";
  }
  numbers[5220] = "1.000000";
  return numbers;
}

void work_on_numbers(Numbers& numbers, Dice& dice) {
  if (dice.percent(60)) {
    const int system = 5221 + 20 * static_cast<int>(dice.between(0, 3));
    for (int axis = 0; axis < 3; ++axis) numbers[system + axis] = number(dice, -20000, 20000) + "000";
  }
  if (dice.percent(20)) numbers[5220] = fmt::format("{}.000000", dice.between(1, 4));
  if (dice.percent(10)) numbers[static_cast<int>(dice.between(31, 60))] = number(dice, 0, 9000) + "000";
}

std::string var_file(const Numbers& numbers) {
  std::string out;
  for (const auto& [key, value] : numbers) out += fmt::format("{}\t{}\n", key, value);
  return out;
}

using Keys = std::map<std::string, std::map<std::string, std::string>>;
Keys new_keys(Dice& dice) {
  Keys keys;
  keys["MACHINE"] = {{"NAME", "invented"}, {"VERSION", "1.0"}};
  for (const char* part : {"AXIS_X", "AXIS_Y", "AXIS_Z"}) {
    for (const char* key : {"SPEED", "PUSH", "LOW_END", "HIGH_END", "SLACK"})
      keys[part][key] = number(dice, 1, 90000);
  }
  return keys;
}

void work_on_keys(Keys& keys, Dice& dice) {
  if (!dice.percent(35)) return;
  auto part = keys.begin();
  std::advance(part, static_cast<long>(dice.below(keys.size())));
  const long extra = dice.between(1, 6);
  if (dice.percent(60))
    part->second["SLACK"] = number(dice, 1, 90);
  else if (dice.percent(60))
    part->second[fmt::format("EXTRA_{}", extra)] = number(dice, 1, 90);
  else if (part->second.size() > 2)
    part->second.erase(std::prev(part->second.end()));
}

std::string ini_file(const Keys& keys) {
  std::string out = "# settings of the control\n";
  for (const auto& [part, values] : keys) {
    out += fmt::format("[{}]\n", part);
    for (const auto& [key, value] : values) out += fmt::format("{} = {}\n", key, value);
    out += '\n';
  }
  return out;
}

// --- machines ----------------------------------------------------------------------------------

struct Keeping {
  bool words = false;        // tools in words rather than in columns
  std::size_t turns = 0;     // the backup from which on they are in the other form
  bool two_of_each = false;  // a second machine's or a simulation's files beside
  bool copies = false;       // last week's beside, under other endings
  bool tables = true;
  const char* heading = "";
};

std::vector<Set> live(const Keeping& how, Dice& dice, std::size_t backups) {
  Files files;
  for (int i = 1; i <= 9; ++i) files[fmt::format("nc/part{}.ngc", i * 100)] = program(dice, i * 100);
  files["README.txt"] = "notes of the shop\n";
  Tools tools = new_tools(dice);
  Tools other_tools = new_tools(dice);
  Numbers numbers = new_numbers();
  Keys keys = new_keys(dice);
  std::vector<Set> out;
  for (std::size_t n = 0; n < backups; ++n) {
    if (n > 0) {
      work_on_programs(files, "nc/", dice);
      work_on_tools(tools, dice);
      work_on_numbers(numbers, dice);
      work_on_keys(keys, dice);
      if (dice.percent(20)) files["README.txt"] += fmt::format("line {}\n", n);
      if (dice.percent(20)) files["wiring.conf"] = fmt::format("pin {} to {}\n", n, dice.between(1, 40));
    }
    const bool words = how.words != (how.turns > 0 && n >= how.turns);
    if (how.copies && n > 0 && n % 7 == 0) files["mill.var.bak"] = files["mill.var"];
    if (how.tables) {
      files["mill.tbl"] = words ? in_words(tools) : in_columns(tools, how.heading);
      files["mill.var"] = var_file(numbers);
      files["mill.ini"] = ini_file(keys);
    }
    if (how.two_of_each) {
      if (n > 0 && dice.percent(20)) work_on_tools(other_tools, dice);
      Keys simulated = keys;
      simulated["MACHINE"]["NAME"] = "simulation";
      files["sim/sim.tbl"] = in_columns(other_tools, how.heading);
      files["sim/sim.ini"] = ini_file(simulated);
    }
    Set set;
    set.source = "invented";
    for (const auto& [name, text] : files) set.files.push_back({name, text});
    out.push_back(std::move(set));
  }
  return out;
}

// A layout as an owner writes it for a control with a list of settings and one of zero points.
constexpr const char* plain_layout = R"toml(layout = 1
[[source]]
group = "settings"
files = ["SETTINGS.LST"]
reader = "columns"
required = true
header = "blank"
columns = [{ name = "number", kind = "whole" }, "value", "comment"]
address = "{number}"
fields = { value = "" }
[[source]]
group = "offsets"
files = ["ZEROS.LST"]
reader = "sections"
[[source]]
group = "programs"
files = ["*.ngc"]
reader = "blocks"
program = "file"
point = "free"
comment = ["(", ";"]
)toml";

std::vector<Set> live_plain(Dice& dice, std::size_t backups) {
  Keeping programs;
  programs.tables = false;
  std::vector<Set> out = live(programs, dice, backups);
  std::map<int, std::string> settings;
  for (int i = 1; i <= 40; ++i) settings[i * 5] = std::to_string(dice.between(0, 900));
  Keys zeros;
  for (const char* part : {"FIXTURE A", "FIXTURE B"}) {
    for (const char* axis : {"X", "Y", "Z"}) zeros[part][axis] = number(dice, -9000, 9000);
  }
  for (std::size_t n = 0; n < out.size(); ++n) {
    if (n > 0 && dice.percent(40))
      settings[5 * static_cast<int>(dice.between(1, 44))] = std::to_string(dice.between(0, 900));
    if (n > 0 && dice.percent(50)) zeros["FIXTURE A"]["Z"] = number(dice, -9000, 9000);
    std::string rows = fmt::format("SETTINGS\nwritten {} times\n\n", n + 1);
    for (const auto& [key, value] : settings) rows += fmt::format("{} {} set by hand\n", key, value);
    out[n].files.push_back({"SETTINGS.LST", rows});
    out[n].files.push_back({"ZEROS.LST", ini_file(zeros)});
    std::sort(out[n].files.begin(), out[n].files.end(),
              [](const auto& a, const auto& b) { return a.name < b.name; });
  }
  return out;
}

}  // namespace

std::vector<History> histories() {
  const auto kept = [](Keeping how) {
    return [how](Dice& dice, std::size_t backups) { return live(how, dice, backups); };
  };
  return {
      {"tools in columns", "", kept({.heading = "POC FMS LEN DIAM COMMENT\n\n"})},
      {"tools in words", "", kept({.words = true, .copies = true})},
      {"columns, then words", "", kept({.turns = 12, .heading = "Tools of the mill\n\n"})},
      {"two of each kind", "", kept({.two_of_each = true, .heading = "tools\n\n"})},
      {"copies beside", "",
       kept({.words = true, .two_of_each = true, .copies = true, .heading = "tools\n\n"})},
      {"a plain layout", plain_layout, live_plain},
  };
}

}  // namespace histories
