// One machine state, written two hundred ways, is stored as the same objects.
#include <fmt/format.h>

#include "shop_fixture.hpp"
#include "spelling.hpp"

namespace scenario {
namespace {

constexpr int ways = 200;
using Words = std::vector<std::string>;

const std::vector<std::pair<std::string, std::vector<Words>>>& programs() {
  static const std::vector<std::pair<std::string, std::vector<Words>>> all = {
      {"1000",
       {{"G20", "G90", "G54"},
        {"T1", "M6"},
        {"S1200", "M3"},
        {"G0", "X0.125", "Y-2.5"},
        {"G1", "Z-0.25", "F20"},
        {"(DO NOT TOUCH)"},
        {"X2.5"},
        {"M98", "P1001"},
        {"M30"}}},
      {"1001", {{"G81", "Z-0.5", "R0.1", "F5"}, {"X1", "Y1"}, {"G80"}, {"M99"}}},
      {"710", {{"G4", "P2"}, {"M99"}}}};
  return all;
}

// One program with its marks, or several in one file.
std::string program_file(Spelling& spell, const std::vector<std::size_t>& which, bool may_wire) {
  const bool marks = spell.random.once_in(2);
  std::vector<std::string> rows;
  if (marks) rows.emplace_back("%");
  for (const std::size_t each : which) {
    const auto& [number, blocks] = programs()[each];
    rows.push_back(spell.cased("O") + std::string(spell.random.below(2), '0') + number);
    for (const Words& block : blocks) rows.push_back(spell.block(block));
  }
  if (marks) rows.emplace_back("%");
  const std::string text = spell.lines(rows);
  return may_wire ? spell.wire(text) : text;
}

// Programs in one file or in several, under any names that the pattern takes.
void put_programs(Spelling& spell, const std::string& ending, Tree& files) {
  std::vector<std::size_t> order = {0, 1, 2};
  spell.random.shuffle(order);
  const std::size_t cut = spell.random.below(3);
  files[spell.cased("FIRST") + ending] =
      program_file(spell, {order.begin(), order.begin() + static_cast<long>(cut) + 1}, true);
  if (cut < 2)
    files["second" + ending] =
        program_file(spell, {order.begin() + static_cast<long>(cut) + 1, order.end()}, true);
}

Tree mill_way(Random& random) {
  Spelling spell{random};
  Tree files;
  std::vector<std::string> rows;
  for (const int number : required_parameters()) {
    const std::string value = number == 5220    ? "1"
                              : number % 3 == 0 ? fmt::format("-{}.5", number % 7 + 1)
                                                : "0";
    rows.push_back(spell.blanks() + std::to_string(number) + spell.blanks(1) + spell.number(value) +
                   (random.once_in(3) ? spell.blanks(1) + "a comment" : ""));
  }
  for (int number = 100; number < 110; ++number)
    rows.push_back(
        fmt::format("{}{}{}", number, spell.blanks(1), spell.number(fmt::format("{}.25", number))));
  random.shuffle(rows);
  if (random.once_in(2)) rows.insert(rows.begin(), {"number  value  comment", ""});
  files[spell.cased("MILL") + ".var"] = spell.wire(spell.lines(rows));

  std::vector<std::string> tools;
  for (int tool = 1; tool <= 6; ++tool) {
    tools.push_back(fmt::format("{}{}{}{}{}{}{}{}{}", tool, spell.blanks(1), 10 + tool, spell.blanks(1),
                                spell.number(fmt::format("{}.125", tool)), spell.blanks(1),
                                spell.number("-0.5"), spell.blanks(1), "end mill"));
  }
  random.shuffle(tools);
  tools.insert(tools.begin(), {"POCKET FMS TLO DIAMETER COMMENT", ""});
  files["mill.tbl"] = spell.wire(spell.lines(tools));

  std::vector<std::string> axis = {"LEAD|0.2", "MAX|200", "NAME|X axis"};
  random.shuffle(axis);
  std::vector<std::string> all;
  const auto row = [&](const std::string& text) {
    const std::size_t bar = text.find('|');
    const std::string value = text.substr(bar + 1);
    return text.substr(0, bar) + spell.blanks() + "=" + spell.blanks() +
           (value[0] == 'X' ? value : spell.number(value));
  };
  std::vector<std::vector<std::string>> parts = {{"[slide]"}, {"[spindle]", row("RATE|6000")}};
  for (const std::string& each : axis) parts[0].push_back(row(each));
  random.shuffle(parts);
  for (const auto& part : parts) {
    all.insert(all.end(), part.begin(), part.end());
    if (random.once_in(2)) all.emplace_back("; a remark");
  }
  files["mill.ini"] = spell.wire(spell.lines(all));
  for (std::size_t i = 0; i < programs().size(); ++i) {  // each file is one program
    const std::string name = spell.cased("O") + programs()[i].first + (random.once_in(2) ? ".ngc" : ".NC");
    files[name] = program_file(spell, {i}, true);
  }
  return files;
}

Tree lathe_way(Random& random) {
  Spelling spell{random};
  Tree files;
  spell.point_counts = true;
  put_programs(spell, ".PRG", files);

  const auto rows_file = [&](std::vector<std::string> rows, bool marks, const std::string& head = "") {
    random.shuffle(rows);
    if (marks && random.once_in(2)) {
      rows.insert(rows.begin(), "%");
      rows.emplace_back("%");
    }
    if (!head.empty()) rows.insert(rows.begin(), head);
    return rows;
  };
  std::vector<std::string> offsets = {spell.block({"G10", "L2", "P1", "X-4.25", "Z0.5"}),
                                      spell.block({"G10", "L2", "P2", "X-1", "Z3"}),
                                      spell.block({"T1", "R5.1"}), spell.block({"T2", "R-0.375"})};
  files["OFFSETS.TXT"] = spell.wire(spell.lines(rows_file(offsets, true)));

  std::vector<std::string> variables;
  for (const auto& [number, value] :
       std::map<std::string, std::string>{{"300", "12"}, {"301", "0.25"}, {"302", "-1.5"}, {"310", "0"}})
    variables.push_back(spell.blanks() + "#" + spell.blanks() + number + spell.blanks() + "=" +
                        spell.blanks() + spell.number(value));
  files["VARIABLE.TXT"] = spell.wire(spell.lines(rows_file(variables, true)));

  std::vector<std::string> settings;
  for (const auto& [number, value] :
       std::map<std::string, std::string>{{"61", "1"}, {"62", "0"}, {"63", "-25.5"}})
    settings.push_back(spell.cased("K") + (random.once_in(2) ? "00" : "") + number + spell.blanks() +
                       spell.cased("V") + spell.number(value));
  files["3107" + spell.cased(".PNL")] = spell.wire(spell.lines(rows_file(settings, false)));

  std::vector<std::string> parameters;
  for (const auto& [number, value] :
       std::map<std::string, std::string>{{"12", "5"}, {"20", "0.2"}, {"21", "400"}, {"22", "-7"}})
    parameters.push_back(spell.blanks() + number + spell.blanks() + "," + spell.blanks() +
                         spell.number(value));
  files["PARAM.TXT"] = spell.wire(spell.lines(rows_file(parameters, false, "number,value"), false));

  std::vector<std::string> control = {"speed" + spell.blanks() + "=" + spell.blanks() + spell.number("9600"),
                                      "parity" + spell.blanks() + "=" + spell.blanks() + "even"};
  random.shuffle(control);
  control.insert(control.begin(), "[PORT]");
  files["CONTROL.CFG"] = spell.wire(spell.lines(control));
  return files;
}

class NormalForm : public ShopTest {
 protected:
  // Takes each way in and holds its state/ against the first's, file for file where they differ.
  void expect_one_state(const std::string& machine, Tree (*way)(Random&), std::size_t least_items) {
    std::string first;
    std::string first_commit;
    std::size_t different_originals = 0;
    std::string originals;
    int reported = 0;
    for (int seed = 1; seed <= ways && reported < 5; ++seed) {
      Random random(static_cast<std::uint64_t>(seed));
      const fs::path folder = put(way(random));
      const Ran ran = kw({"intake", machine, folder.string(), "--at", "2026-03-01"});
      ASSERT_TRUE(ran.exit == 0 || ran.exit == 1) << seed << ran.out << ran.err;
      const std::string state = object_id(repository(machine), "HEAD:state");
      const std::string received = object_id(repository(machine), "HEAD:originals");
      ASSERT_FALSE(state.empty());
      if (first.empty()) {
        first = state;
        first_commit = object_id(repository(machine), "HEAD");
        std::size_t items = 0;
        for (const auto& entry : read_tree(repository(machine) / "state"))
          items += lines_of(entry.second).size();
        EXPECT_GE(items, least_items);
      }
      different_originals += received != originals ? 1U : 0U;
      originals = received;
      if (state != first) {
        ++reported;
        ADD_FAILURE() << "way " << seed << " differs\n"
                      << git(repository(machine), {"diff", first_commit, "HEAD", "--", "state"}).out
                      << "\nverdict:\n"
                      << ran.out;
      }
    }
    EXPECT_GE(different_originals, static_cast<std::size_t>(ways * 9 / 10)) << "the ways should differ";
  }
};

TEST_F(NormalForm, OfTheBuiltInLayoutIsOneForTwoHundredSpellings) {
  enroll_mill();
  expect_one_state("mill", mill_way, 110);
}

TEST_F(NormalForm, OfALayoutWithAllReadersIsOneForTwoHundredSpellings) {
  enroll_lathe();
  expect_one_state("lathe", lathe_way, 30);
}

}  // namespace
}  // namespace scenario
