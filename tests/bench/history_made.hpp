// Invented histories for the bench: a control with 4 tables of 3,800 values and 100 programs, of which each
// backup changes about 26 values and, every third time, a program. From a seed: the same each time.
#pragma once

#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "keepway/shop.hpp"

namespace bench {

inline constexpr const char* layout = R"toml(layout = 1
title = "Invented control of the bench"
units = "inch"
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
fields = { L = "length", D = "diameter" }
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

inline constexpr std::int64_t first_day = 800'000'000;  // 1995: ten years of days, and room
inline constexpr std::int64_t day = 86'400;

class Control {
 public:
  explicit Control(std::uint64_t seed) : random_(seed), values_(table_count * rows) {
    for (std::string& value : values_) value = number();
    for (std::size_t i = 0; i < program_count; ++i) {
      std::vector<std::string>& blocks = programs_.emplace_back();
      for (int n = 0; n < 150; ++n) blocks.push_back(block());
    }
  }
  // What happens between two backups. Tool 1 is touched off every fifth time.
  void pass_a_day() {
    for (std::size_t i = 0; i < changes; ++i) values_[below(values_.size())] = number();
    if (++days_ % 5 == 0) values_[rows] = number();
    if (below(3) != 0) return;
    std::vector<std::string>& blocks = programs_[below(program_count)];
    for (int i = 0; i < 5; ++i) blocks[below(blocks.size())] = block();
  }
  [[nodiscard]] keepway::media::Set set() const {
    keepway::media::Set set;
    set.source = "folder in";
    const auto add = [&](std::string name, std::string bytes) {
      set.files.push_back({std::move(name), std::move(bytes)});
    };
    std::string text;
    for (std::size_t i = 0; i < rows; ++i) {
      if (i % 95 == 0) text += fmt::format("[PART{}]\n", i / 95);
      text += fmt::format("KEY{} = {}\n", i % 95, values_[3 * rows + i]);
    }
    add("M.CFG", std::move(text));
    text.clear();
    for (std::size_t i = 0; i < rows; i += 2) {
      text += fmt::format("T{} L{} D{}\r\n", i / 2 + 1, values_[rows + i], values_[rows + i + 1]);
    }
    add("M.OFFSETS", std::move(text));
    text.clear();
    for (std::size_t i = 0; i < rows; ++i) text += fmt::format("K{} V{}\r\n", i + 1, values_[2 * rows + i]);
    add("M.SETTINGS", std::move(text));
    text.clear();
    for (std::size_t i = 0; i < rows; ++i) text += fmt::format("#{}={}\r\n", i + 1, values_[i]);
    add("M.VAR", std::move(text));
    for (std::size_t i = 0; i < program_count; ++i) {
      text = fmt::format("%\r\nO{:04} (PART {})\r\nG20 G90 G54\r\n", 1000 + i, i);
      for (const std::string& one : programs_[i]) text += one + "\r\n";
      add(fmt::format("O{}.PRG", 1000 + i), text + "M30\r\n%\r\n");
    }
    return set;
  }
  void write(const std::filesystem::path& folder) const {
    std::filesystem::create_directories(folder);
    for (const auto& file : set().files) std::ofstream(folder / file.name, std::ios::binary) << file.bytes;
  }
  // A drawer of dated folders, one a day. What stayed as it was is one file under many names, or ten thousand
  // of them would not fit into a disk's memory; a reader of the drawer cannot tell.
  void fill_drawer(const std::filesystem::path& drawer, std::size_t depth) {
    keepway::media::Set before;
    std::filesystem::path folder_before;
    for (std::size_t i = 0; i < depth; ++i) {
      if (i != 0) pass_a_day();
      keepway::media::Set now = set();
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
      before = std::move(now);
      folder_before = folder;
    }
  }

 private:
  static constexpr std::size_t table_count = 4;
  static constexpr std::size_t rows = 950;
  static constexpr std::size_t program_count = 100;
  static constexpr std::size_t changes = 26;
  std::size_t below(std::size_t limit) { return static_cast<std::size_t>(random_() % limit); }
  std::string number() { return fmt::format("{}.{:04}", below(90), below(10000)); }
  std::string block() {
    return fmt::format("G1 X{}.{:04} Y-{}.{:04} F{}.", below(20), below(10000), below(9), below(10000),
                       5 + below(80));
  }
  std::mt19937_64 random_;
  std::vector<std::string> values_;
  std::vector<std::vector<std::string>> programs_;
  std::size_t days_ = 0;
};

// A shop with one machine `m` without a backup.
inline void make_shop(const std::filesystem::path& folder) {
  std::filesystem::create_directories(folder);
  std::ofstream(folder / "control.toml") << layout;
  keepway::Shop::Enrollment enrollment;
  enrollment.name = "m";
  enrollment.layout = (folder / "control.toml").string();
  enrollment.serial = "1";
  enrollment.by = "Ida";
  enrollment.now = first_day - day;
  keepway::Shop::init(folder / "shop", "bench").enroll(enrollment);
}

}  // namespace bench
