// Invented machines for the bench, in the three shapes that backups come in with, and their life from day to
// day. From a seed: the same each time. All names, numbers and forms are made up; the center and the large
// one write the files of the built-in layout (NISTIR 6556), the lathe those of a layout of its own.
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "keepway/shop.hpp"

namespace bench {

inline constexpr const char* lathe_layout = R"toml(layout = 1
title = "Invented lathe of the bench"
units = "mm"
[[source]]
group = "variables"
files = "*.VAR"
reader = "assign"
[[source]]
group = "offsets"
files = "*.OFFSETS"
reader = "words"
[[source.row]]
address = "tool/{T}"
fields = { L = "length", R = "radius", W = "wear", Q = "edge" }
[[source]]
group = "settings"
files = "*.SETTINGS"
reader = "words"
[[source.row]]
address = "{K}"
fields = { V = "" }
[[source]]
group = "parameters"
files = "*.CFG"
reader = "sections"
[[source]]
group = "programs"
files = "*.PRG"
reader = "blocks"
)toml";

struct Shape {
  std::string name;
  bool built_in = true;  // its layout and its namebook
  std::size_t programs = 0;
  std::size_t blocks_least = 0;
  std::size_t blocks_most = 0;
  std::size_t tools = 0;
  std::size_t variables = 0;
  std::size_t settings = 0;  // of the lathe's layout alone
  std::size_t parameters = 0;
};

inline Shape shape_of(const std::string& name) {
  if (name == "center") return {name, true, 100, 40, 240, 30, 3000, 0, 900};
  if (name == "lathe") return {name, false, 20, 40, 240, 24, 300, 200, 1000};
  if (name == "large") return {name, true, 3000, 400, 800, 120, 9000, 0, 2800};
  throw std::runtime_error("no such shape: " + name + " (center, lathe, large)");
}

// The lathe's namebook as its owner typed it: 500 rows, most with limits or a step, 40 of them patterns.
inline std::string lathe_namebook() {
  std::string out =
      "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n"
      "offsets/tool/*/length\tTool * length\tlength\tnumber\t-10\t99\t100\n"
      "offsets/tool/*/radius\tTool * radius\tlength\tnumber\t0\t99\t100\n"
      "offsets/tool/*/wear\tTool * wear\tlength\tnumber\t-99\t99\n"
      "offsets/tool/*/edge\tTool * edge\t\tnumber\t0\t100\n";
  for (int part = 0; part < 9; ++part) {
    for (const char* key : {"GAIN", "LIMIT", "RAMP", "DELAY"})
      out += fmt::format("parameters/*/{}{}\tAxis * {} {}\t\tnumber\t0\t100\n", key, part, key, part);
  }
  for (int i = 1; i <= 200; ++i)
    out += fmt::format("settings/{}\tSetting {}\t\tnumber\t0\t100\t50\t\t\t\tlook at the axis\n", i, i);
  for (int i = 1; i <= 110; ++i) out += fmt::format("variables/{}\tVariable {}\tlength\tnumber\n", i, i);
  for (int i = 0; i < 150; ++i)
    out += fmt::format("parameters/PART{}/KEY{}\tParameter {} {}\tdeg\tnumber\t0\t91\n", i / 50, i % 50,
                       i / 50, i % 50);
  return out;
}

inline constexpr std::int64_t first_day = 800'000'000;  // 1995: ten thousand days, and room
inline constexpr std::int64_t day = 86'400;

class Control {
 public:
  Control(Shape shape, std::uint64_t seed) : shape_(std::move(shape)), random_(seed) {
    fill(variables_, shape_.variables);
    fill(settings_, shape_.settings);
    fill(parameters_, shape_.parameters);
    fill(tools_, shape_.tools * per_tool);
    fill(work_, work_places.size());
    for (std::size_t i = 0; i < shape_.programs; ++i) {
      std::vector<std::string>& blocks = programs_.emplace_back();
      const std::size_t count = shape_.blocks_least + below(shape_.blocks_most - shape_.blocks_least + 1);
      for (std::size_t n = 0; n < count; ++n) blocks.push_back(block());
    }
  }
  // What happens between two backups: 20 values, a program every third day, tool 1 touched off every fifth.
  // Every 50th backup comes with a value that is out of its limits, for a day.
  void pass_a_day() {
    for (std::size_t i = 0; i < changes; ++i) any_value() = number();
    doubtful_ = ++days_ % 50 == 0;
    if (days_ % 5 == 0) tools_[0] = number();
    if (below(3) != 0) return;
    std::vector<std::string>& blocks = programs_[below(programs_.size())];
    for (int i = 0; i < 5; ++i) blocks[below(blocks.size())] = block();
  }
  [[nodiscard]] keepway::media::Set set() const {
    keepway::media::Set set;
    set.source = "folder in";
    const auto add = [&](std::string name, std::string bytes) {
      set.files.push_back({std::move(name), std::move(bytes)});
    };
    shape_.built_in ? add_built_in(add) : add_lathe(add);
    for (std::size_t i = 0; i < programs_.size(); ++i) {
      std::string text = fmt::format("%\r\nO{:04} (PART {})\r\nG20 G90 G54\r\n", 1000 + i, i);
      for (const std::string& one : programs_[i]) text += one + "\r\n";
      add(fmt::format("O{}.{}", 1000 + i, shape_.built_in ? "ngc" : "PRG"), text + "M30\r\n%\r\n");
    }
    return set;
  }
  [[nodiscard]] const Shape& shape() const { return shape_; }

 private:
  static constexpr std::size_t changes = 20;
  static constexpr std::size_t per_tool = 2;
  // Places of NISTIR 6556, table 2, one number each; 5220 is the coordinate system in force.
  static constexpr std::array<int, 13> work_starts = {5161, 5181, 5211, 5220, 5221, 5241, 5261,
                                                      5281, 5301, 5321, 5341, 5361, 5381};
  static constexpr std::array<int, 73> work_places = [] {
    std::array<int, 73> places{};
    std::size_t at = 0;
    for (const int start : work_starts) {
      for (int i = 0; i < (start == 5220 ? 1 : 6); ++i) places[at++] = start + i;
    }
    return places;
  }();

  void add_built_in(const auto& add) const {
    std::string text = "invented values\r\n\r\n";
    std::size_t next = 0;
    for (int number = 1; next < variables_.size() || number <= work_places.back(); ++number) {
      const auto work = std::find(work_places.begin(), work_places.end(), number);
      if (work != work_places.end()) {
        const std::string& value = work_[static_cast<std::size_t>(work - work_places.begin())];
        text += fmt::format("{}\t{}\r\n", number, number != 5220 ? value : doubtful_ ? "12" : "1");
      } else if ((number < 5000 || number > 5400) && next < variables_.size()) {
        text += fmt::format("{}\t{}\r\n", number, variables_[next++]);
      }
    }
    add("MACHINE.var", std::move(text));
    text.clear();
    for (std::size_t i = 0; i < shape_.tools; ++i) {
      text += fmt::format("T{} P{} Z{} D{} ; invented tool {}\r\n", i + 1, i + 1, tools_[i * per_tool],
                          tools_[i * per_tool + 1], i + 1);
    }
    add("MACHINE.tbl", std::move(text));
    add("MACHINE.ini", sections());
  }
  void add_lathe(const auto& add) const {
    std::string text;
    for (std::size_t i = 0; i < shape_.tools; ++i) {
      text += fmt::format("T{} L{} R{} W0.01 Q3\r\n", i + 1, tools_[i * per_tool], tools_[i * per_tool + 1]);
    }
    add("LATHE.OFFSETS", std::move(text));
    text.clear();
    for (std::size_t i = 0; i < settings_.size(); ++i)
      text += fmt::format("K{} V{}\r\n", i + 1, i == 6 && doubtful_ ? "900" : settings_[i]);
    add("LATHE.SETTINGS", std::move(text));
    text.clear();
    for (std::size_t i = 0; i < variables_.size(); ++i)
      text += fmt::format("#{}={}\r\n", i + 1, variables_[i]);
    add("LATHE.VAR", std::move(text));
    add("LATHE.CFG", sections());
  }
  [[nodiscard]] std::string sections() const {
    std::string text;
    for (std::size_t i = 0; i < parameters_.size(); ++i) {
      if (i % 50 == 0) text += fmt::format("[PART{}]\r\n", i / 50);
      text += fmt::format("KEY{} = {}\r\n", i % 50, parameters_[i]);
    }
    return text;
  }

  void fill(std::vector<std::string>& values, std::size_t count) {
    values.resize(count);
    for (std::string& value : values) value = number();
  }
  std::string& any_value() {
    std::size_t at = below(variables_.size() + settings_.size() + parameters_.size() + tools_.size());
    for (std::vector<std::string>* values : {&variables_, &settings_, &parameters_}) {
      if (at < values->size()) return (*values)[at];
      at -= values->size();
    }
    return tools_[at];
  }
  std::size_t below(std::size_t limit) { return static_cast<std::size_t>(random_() % limit); }
  std::string number() { return fmt::format("{}.{:04}", below(90), below(10000)); }
  std::string block() {
    return fmt::format("G1 X{}.{:04} Y-{}.{:04} F{}.", below(20), below(10000), below(9), below(10000),
                       5 + below(80));
  }
  Shape shape_;
  std::mt19937_64 random_;
  std::vector<std::string> variables_;
  std::vector<std::string> settings_;
  std::vector<std::string> parameters_;
  std::vector<std::string> tools_;
  std::vector<std::string> work_;
  std::vector<std::vector<std::string>> programs_;
  std::size_t days_ = 0;
  bool doubtful_ = false;
};

inline void write_files(const keepway::media::Set& set, const std::filesystem::path& folder) {
  std::filesystem::create_directories(folder);
  for (const auto& file : set.files) std::ofstream(folder / file.name, std::ios::binary) << file.bytes;
}

// A drawer of dated folders, one a day; `each` sees every day's files. What stayed as it was is one file
// under many names, or ten thousand of them would not fit on a disk; a reader of the drawer cannot tell.
inline void fill_drawer(Control& control, const std::filesystem::path& drawer, std::size_t depth,
                        const auto& each) {
  keepway::media::Set before;
  std::filesystem::path folder_before;
  for (std::size_t i = 0; i < depth; ++i) {
    if (i != 0) control.pass_a_day();
    keepway::media::Set now = control.set();
    const std::string date =
        keepway::format_time(first_day + static_cast<std::int64_t>(i) * day).substr(0, 10);
    const std::filesystem::path folder = drawer / date;
    std::filesystem::create_directories(folder);
    for (std::size_t n = 0; n < now.files.size(); ++n) {
      const auto& file = now.files[n];
      if (i != 0 && before.files[n].bytes == file.bytes) {
        std::filesystem::create_hard_link(folder_before / file.name, folder / file.name);
      } else {
        std::ofstream(folder / file.name, std::ios::binary) << file.bytes;
      }
    }
    each(before, now, first_day + static_cast<std::int64_t>(i) * day);
    before = std::move(now);
    folder_before = folder;
  }
}

// A shop with one machine `m` of that shape, without a backup.
inline void make_shop(const std::filesystem::path& folder, const Shape& shape) {
  std::filesystem::create_directories(folder);
  keepway::Shop::Enrollment enrollment;
  enrollment.name = "m";
  enrollment.layout = "rs274ngc";
  if (!shape.built_in) {
    enrollment.layout = (folder / "lathe.toml").string();
    std::ofstream(enrollment.layout) << lathe_layout;
  }
  enrollment.serial = "1";
  enrollment.by = "Ida";
  enrollment.now = first_day - day;
  keepway::Shop::init(folder / "shop", "bench").enroll(enrollment);
  if (!shape.built_in) std::ofstream(folder / "shop/m/namebook.tsv") << lathe_namebook();
}

}  // namespace bench
