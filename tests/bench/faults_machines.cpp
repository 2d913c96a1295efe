#include "faults_machines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

namespace faults {
namespace {

using keepway::media::Set;

std::string amount(long value) {  // -142500 -> -14.25
  const long whole = std::abs(value) / 10000;
  std::string text = fmt::format("{}{}.{:04}", value < 0 ? "-" : "", whole, std::abs(value) % 10000);
  while (text.back() == '0') text.pop_back();
  return text;
}

std::string joined(const std::vector<std::string>& lines, const char* end = "\n") {
  std::string text;
  for (const std::string& line : lines) text += line + end;
  return text;
}

std::string all_programs(const Memory& memory) {
  std::string text;
  for (const auto& [number, lines] : memory.programs) text += fmt::format("O{}\n", number) + joined(lines);
  return text;
}

void put(Set& set, const std::string& name, const std::string& text) {
  set.files.push_back({name, text});
}

void finish(Set& set) {
  set.source = "invented";
  std::sort(set.files.begin(), set.files.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
}

// --- a file a table, programs in one file ------------------------------------------------------

constexpr const char* tables_layout = R"toml(layout = 1
units = "inch"
[[source]]
group = "parameters"
files = ["AXES-{serial}.TXT"]
reader = "words"
required = true
comment = ["("]
address = "{A}"
fields = { V = "" }
[[source]]
group = "settings"
files = ["PANEL.TXT"]
reader = "columns"
required = true
header = "blank"
split = "fixed"
columns = [{ name = "number", at = 0, width = 4, kind = "whole" }, { name = "value", at = 4, width = 8 }]
address = "{number}"
fields = { value = "" }
[[source]]
group = "offsets"
files = ["ZEROS.TXT"]
reader = "words"
required = true
least_increment = "0.0001"
[[source.row]]
match = "G10 L2"
address = "work/{P}"
fields = { X = "X", Y = "Y", Z = "Z" }
[[source]]
group = "offsets"
files = ["TOOLS.TXT"]
reader = "columns"
required = true
header = 1
split = "comma"
least_increment = "0.0001"
columns = [{ name = "tool", kind = "whole" }, "length", "diameter", "note"]
address = "tool/{tool}"
fields = { length = "length", diameter = "diameter", note = { name = "note", kind = "text" } }
[[source]]
group = "variables"
files = ["VALUES.TXT"]
reader = "assign"
required = true
[[source]]
group = "programs"
files = ["JOBS.TXT"]
reader = "blocks"
required = true
protected = ["700-799"]
)toml";

constexpr const char* numbered_namebook =
    "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n"
    "parameters/60\tX screw pitch error\t\t\t\t\t\t\tmachine-own\n"
    "parameters/61\tY screw pitch error\t\t\t\t\t\t\tmachine-own\n"
    "parameters/62\tZ screw pitch error\t\t\t\t\t\t\tmachine-own\n"
    "offsets/work/*/X\tWork * X\tlength\t\t-30\t30\n"
    "offsets/tool/*/length\tTool * length\tlength\t\t0\t12\n"
    "variables/300\tParts made\t\t\t\t\t\t\tliving\n";

Set write_tables(const Memory& memory, const std::string& serial, const std::string&) {
  Set set;
  std::string rows = fmt::format("(MEMORY OF {})\n", serial);
  for (const auto& [number, value] : memory.parameters) rows += fmt::format("A{} V{}\n", number, value);
  put(set, fmt::format("AXES-{}.TXT", serial), rows);
  rows = fmt::format("SETTINGS  SERIAL {}\n\n", serial);
  for (const auto& [number, value] : memory.settings) rows += fmt::format("{:4}{:8}\n", number, value);
  put(set, "PANEL.TXT", rows);
  rows.clear();
  int place = 1;
  for (const auto& [name, at] : memory.work)
    rows += fmt::format("G10 L2 P{} X{} Y{} Z{}\n", place++, at[0], at[1], at[2]);
  put(set, "ZEROS.TXT", rows);
  rows = "tool,length,diameter,note\n";
  for (const auto& [number, tool] : memory.tools)
    rows += fmt::format("{},{},{},{}\n", number, tool.length, tool.diameter, tool.note);
  put(set, "TOOLS.TXT", rows);
  rows.clear();
  for (const auto& [number, value] : memory.variables)
    rows += fmt::format("#{}={}\n", number, number == 300 ? std::to_string(value) : amount(value));
  put(set, "VALUES.TXT", rows);
  put(set, "JOBS.TXT", "%\n" + all_programs(memory) + "%\n");
  finish(set);
  return set;
}

// --- all groups on one tape --------------------------------------------------------------------

constexpr const char* tape_layout = R"toml(layout = 1
units = "inch"
[[source]]
group = "programs"
files = ["*.TAP"]
begins = "O"
reader = "blocks"
required = true
protected = ["700-799"]
[[source]]
group = "offsets"
files = ["*.TAP"]
begins = "G10"
reader = "words"
required = true
[[source.row]]
match = "G10 L2"
address = "work/{P}"
fields = { X = "X", Y = "Y", Z = "Z" }
[[source.row]]
match = "T"
address = "tool/{T}"
fields = { R = "length", D = "diameter" }
[[source]]
group = "variables"
files = ["*.TAP"]
begins = "#"
reader = "assign"
required = true
[[source]]
group = "parameters"
files = ["*.TAP"]
begins = "A"
reader = "words"
required = true
address = "{A}"
fields = { V = "" }
)toml";

Set write_tape(const Memory& memory, const std::string& serial, const std::string&) {
  std::string text(40, '\0');
  text += "%\r\n";
  for (const auto& [number, lines] : memory.programs)
    text += fmt::format("O{}{}\r\n", number,
                        number == first_guarded + 1 ? fmt::format(" (MACHINE {})", serial) : "") +
            joined(lines, "\r\n");
  text += "%\r\n";
  int place = 1;
  for (const auto& [name, at] : memory.work)
    text += fmt::format("G10 L2 P{} X{} Y{} Z{}\r\n", place++, amount(at[0]), amount(at[1]), amount(at[2]));
  for (const auto& [number, tool] : memory.tools)
    text += fmt::format("T{} R{} D{}\r\n", number, amount(tool.length), amount(tool.diameter));
  text += "%\r\n";
  for (const auto& [number, value] : memory.variables)
    text += fmt::format("#{}={}\r\n", number, number == 300 ? std::to_string(value) : amount(value));
  text += "%\r\n";
  for (const auto& [number, value] : memory.parameters) text += fmt::format("A{} V{}\r\n", number, value);
  for (const auto& [number, value] : memory.settings)
    text += fmt::format("A{} V{}\r\n", 1000 + number, value);
  text += fmt::format("A9999 V{}\r\n%\r\n", serial);
  Set set;
  put(set, "ALL.TAP", text + std::string(40, '\0'));
  finish(set);
  return set;
}

// --- a file a program, tables of the public form (NISTIR 6556, 2.3 and 3.2.1) ------------------

Set write_files(const Memory& memory, const std::string& serial, const std::string&) {
  Set set;
  for (const auto& [number, lines] : memory.programs)
    put(set, fmt::format("O{}.ngc", number), fmt::format("%\nO{}\n", number) + joined(lines) + "%\n");
  std::string rows = fmt::format("tools of {}\n\n", serial);
  for (const auto& [number, tool] : memory.tools)
    rows += fmt::format("{} {} {} {} {}\n", number, number, amount(tool.length), amount(tool.diameter),
                        tool.note);
  put(set, "mill.tbl", rows);
  std::map<int, std::string> numbers;
  for (const auto& [number, value] : memory.variables)
    numbers[number] = number == 300 ? std::to_string(value) : amount(value);
  for (const int first : {5161, 5181, 5211, 5221, 5241, 5261, 5281, 5301, 5321, 5341, 5361, 5381}) {
    for (int axis = 0; axis < 6; ++axis) numbers[first + axis] = "0.0";
  }
  numbers[5220] = "1";
  int system = 5221;
  for (const auto& [name, at] : memory.work) {
    for (int axis = 0; axis < 3; ++axis) numbers[system + axis] = amount(at[static_cast<std::size_t>(axis)]);
    system += 20;
  }
  rows.clear();
  for (const auto& [number, value] : numbers) rows += fmt::format("{}\t{}\n", number, value);
  put(set, "mill.var", rows);
  rows = fmt::format("[MACHINE]\nSERIAL = {}\n[AXES]\n", serial);
  for (const auto& [number, value] : memory.parameters) rows += fmt::format("P{} = {}\n", number, value);
  rows += "[PANEL]\n";
  for (const auto& [number, value] : memory.settings) rows += fmt::format("S{} = {}\n", number, value);
  put(set, "mill.ini", rows);
  finish(set);
  return set;
}

constexpr const char* files_namebook =
    "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n"
    "parameters/AXES/P60\tX screw\t\t\t\t\t\t\tmachine-own\n"
    "parameters/AXES/P61\tY screw\t\t\t\t\t\t\tmachine-own\n"
    "parameters/AXES/P62\tZ screw\t\t\t\t\t\t\tmachine-own\n"
    "variables/300\tParts made\t\t\t\t\t\t\tliving\n";

// --- key and value -----------------------------------------------------------------------------

constexpr const char* keys_layout = R"toml(layout = 1
units = "mm"
[[source]]
group = "parameters"
files = ["MACHINE.CFG"]
reader = "sections"
required = true
[[source]]
group = "offsets"
files = ["OFFSETS.CFG"]
reader = "sections"
required = true
[[source]]
group = "variables"
files = ["VARIABLES.CFG"]
reader = "sections"
required = true
[[source]]
group = "programs"
files = ["PROGRAMS.TXT"]
reader = "blocks"
required = true
protected = ["700-799"]
)toml";

Set write_keys(const Memory& memory, const std::string& serial, const std::string& day) {
  Set set;
  std::string rows = fmt::format("[identity]\nserial = {}\nwritten = {}\n[axis]\n", serial, day);
  for (const auto& [number, value] : memory.parameters) rows += fmt::format("p{} = {}\n", number, value);
  rows += "[panel]\n";
  for (const auto& [number, value] : memory.settings) rows += fmt::format("s{} = {}\n", number, value);
  put(set, "MACHINE.CFG", rows);
  rows = "[work]\n";
  for (const auto& [name, at] : memory.work)
    rows += fmt::format("{}_X = {}\n{}_Y = {}\n{}_Z = {}\n", name, amount(at[0]), name, amount(at[1]), name,
                        amount(at[2]));
  rows += "[tool]\n";
  for (const auto& [number, tool] : memory.tools)
    rows += fmt::format("t{}_length = {}\nt{}_diameter = {}\n", number, amount(tool.length), number,
                        amount(tool.diameter));
  put(set, "OFFSETS.CFG", rows);
  rows = "[variables]\n";
  for (const auto& [number, value] : memory.variables)
    rows += fmt::format("v{} = {}\n", number, number == 300 ? std::to_string(value) : amount(value));
  put(set, "VARIABLES.CFG", rows);
  put(set, "PROGRAMS.TXT", all_programs(memory));
  finish(set);
  return set;
}

constexpr const char* keys_namebook =
    "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n"
    "parameters/identity/written\tWritten on\t\ttext\t\t\t\t\tliving\n"
    "parameters/axis/p60\tX screw\t\t\t\t\t\t\tmachine-own\n"
    "parameters/axis/p61\tY screw\t\t\t\t\t\t\tmachine-own\n"
    "variables/variables/v300\tParts made\t\t\t\t\t\t\tliving\n";

// --- life ---------------------------------------------------------------------------------------

std::vector<std::string> new_program(Dice& dice) {
  std::vector<std::string> lines = {"G20 G90 G54", fmt::format("T{} M6", dice.between(1, 20)),
                                    fmt::format("S{} M3", dice.between(4, 40) * 100)};
  for (long i = dice.between(6, 40); i > 0; --i) {
    lines.push_back(dice.percent(60) ? fmt::format("G1 X{} Y{} F{}.", amount(dice.between(-90000, 90000)),
                                                   amount(dice.between(-90000, 90000)), dice.between(5, 60))
                                     : fmt::format("G0 Z{}", amount(dice.between(-20000, 20000))));
    if (dice.percent(6)) lines.push_back(fmt::format("(PASS {})", dice.between(1, 9)));
  }
  lines.emplace_back("M30");
  return lines;
}

void set_up_job(Memory& memory, Dice& dice) {
  auto place = memory.work.begin();
  std::advance(place, static_cast<long>(dice.below(memory.work.size())));
  for (long& axis : place->second) axis = dice.between(-250000, 250000);
}

void edit(std::vector<std::string>& lines, Dice& dice) {
  const std::size_t at = 3 + dice.below(lines.size() - 4);
  switch (dice.below(3)) {
    case 0:
      lines[at] = fmt::format("G1 X{} Y{} F{}.", amount(dice.between(-90000, 90000)),
                              amount(dice.between(-90000, 90000)), dice.between(5, 60));
      break;
    case 1:
      lines.insert(lines.begin() + static_cast<long>(at),
                   fmt::format("G0 Z{}", amount(dice.between(1, 20000))));
      break;
    default:
      if (lines.size() > 8) lines.erase(lines.begin() + static_cast<long>(at));
  }
}

}  // namespace

const std::vector<Form>& forms() {
  static const std::vector<Form> all = {
      {"a file a table", tables_layout, numbered_namebook, false, false, write_tables},
      {"all on one tape", tape_layout, numbered_namebook, false, false, write_tape},
      {"a file a program", "", files_namebook, true, true, write_files},
      {"key and value", keys_layout, keys_namebook, false, false, write_keys}};
  return all;
}

Memory new_memory(Dice& dice) {
  Memory memory;
  for (int i = 1; i <= 80; ++i) memory.parameters[i] = dice.percent(20) ? 0 : dice.between(1, 20000);
  for (int i = first_own; i < first_own + 3; ++i) memory.parameters[i] = dice.between(100, 999);
  for (int i = 1; i <= 40; ++i) memory.settings[i] = dice.between(0, 3);
  for (int i = 1; i <= 20; ++i)
    memory.tools[i] = {dice.between(20000, 90000), dice.between(1000, 20000), fmt::format("cutter {}", i)};
  for (const char* name : {"G54", "G55", "G56", "G57"})
    memory.work[name] = {dice.between(-250000, 250000), dice.between(-250000, 250000),
                         dice.between(-100000, 100000)};
  for (int i = 300; i < 340; ++i) memory.variables[i] = dice.percent(30) ? 0 : dice.between(-50000, 50000);
  memory.variables[300] = dice.between(1000, 9000);
  for (int i = 0; i < 14; ++i)
    memory.programs[static_cast<int>(dice.between(1000, 8000))] = new_program(dice);
  for (int i = 1; i <= 3; ++i) {
    memory.programs[first_guarded + i] = new_program(dice);
    memory.programs[first_guarded + i].back() = "M99";
  }
  return memory;
}

void live(Memory& memory, const Form& form, Dice& dice) {
  memory.variables[300] += dice.between(5, 80);
  for (long i = dice.between(0, 4); i > 0; --i) {
    auto tool = memory.tools.begin();
    std::advance(tool, static_cast<long>(dice.below(memory.tools.size())));
    tool->second.length -= dice.between(0, 12);
  }
  for (long i = dice.between(0, 3); i > 0; --i)
    memory.variables[static_cast<int>(dice.between(301, 339))] = dice.between(-50000, 50000);
  if (dice.percent(20)) set_up_job(memory, dice);
  if (dice.percent(6)) memory.settings[static_cast<int>(dice.between(1, 40))] = dice.between(0, 3);
  if (dice.percent(2)) memory.parameters[static_cast<int>(dice.between(1, 59))] = dice.between(1, 20000);
  if (dice.percent(2)) memory.work["G57"] = {0, 0, 0};  // a shift is cleared
  if (dice.percent(4)) {                                // a new tool in an old pocket
    auto tool = memory.tools.begin();
    std::advance(tool, static_cast<long>(dice.below(memory.tools.size())));
    tool->second = {dice.between(20000, 90000), dice.between(1000, 20000),
                    fmt::format("cutter {}", dice.between(21, 99))};
  }
  if (form.tools_come_and_go && dice.percent(5)) {
    const int pocket = static_cast<int>(dice.between(1, 24));
    if (memory.tools.contains(pocket) && memory.tools.size() > 12) {
      memory.tools.erase(pocket);
    } else {
      memory.tools[pocket] = {dice.between(20000, 90000), dice.between(1000, 20000),
                              fmt::format("cutter {}", pocket)};
    }
  }
  std::vector<int> own;
  for (const auto& [number, lines] : memory.programs) {
    if (number > last_guarded) own.push_back(number);
  }
  if (dice.percent(25)) edit(memory.programs[own[dice.below(own.size())]], dice);
  if (dice.percent(6)) memory.programs[static_cast<int>(dice.between(1000, 8000))] = new_program(dice);
  if (dice.percent(5) && own.size() > 10) memory.programs.erase(own[dice.below(own.size())]);
}

}  // namespace faults
