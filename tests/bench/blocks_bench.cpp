// How fast program text is read: MB/s of read_blocks on invented programs of a usual kind, of words out
// of order, and of one long line.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <string>

#include "reader/parts.hpp"

namespace {

std::string make_programs(std::size_t bytes, bool in_order) {
  std::string text = "%\n";
  std::uint32_t seed = 1;
  auto random = [&](std::uint32_t below) {
    seed = seed * 1664525 + 1013904223;
    return (seed >> 8) % below;
  };
  for (int number = 1000; text.size() < bytes; ++number) {
    text += fmt::format("O{:05} (PART {})\n", number, number);
    for (int block = 1; block < 400; ++block) {
      const auto x = fmt::format("{}.{:04}", random(20), random(10000));
      const auto y = fmt::format("-{}.{:03}", random(20), random(1000));
      text += in_order ? fmt::format("N{} G01 X{} Y{} F25.\n", block * 10, x, y)
                       : fmt::format("N{} Y{}X{} F25. g1 m8\n", block * 10, y, x);
    }
    text += "M30\n";
  }
  return text + "%\n";
}

void measure(const char* what, const std::string& text, const keepway::Source& source) {
  double best = 1e9;
  std::size_t programs = 0;
  for (int round = 0; round < 7; ++round) {
    keepway::reader::Output output;
    const auto start = std::chrono::steady_clock::now();
    keepway::reader::read_blocks({0, "all.nc", text, 0, 1, source, 0, keepway::Units::inch}, output);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    best = std::min(best, took.count());
    programs = output.programs.size();
  }
  const double megabytes = static_cast<double>(text.size()) / 1e6;
  fmt::print("{:<28} {:5.1f} MB {:5} programs {:7.1f} ms {:7.0f} MB/s\n", what, megabytes, programs,
             best * 1e3, megabytes / best);
}

}  // namespace

int main() {
  keepway::Source source;
  source.comments = {"(", ";"};
  keepway::Source counting = source;
  counting.increment =
      keepway::Increment{keepway::Decimal::parse("0.0001"), keepway::Decimal::parse("0.001")};
  const std::string usual = make_programs(10'000'000, true);
  measure("usual", usual, source);
  measure("usual, with increments", usual, counting);
  measure("words out of order", make_programs(10'000'000, false), source);
  std::string no_points = usual;
  no_points.erase(std::remove(no_points.begin(), no_points.end(), '.'), no_points.end());
  measure("all numbers in increments", no_points, counting);
  std::string one_line = usual;
  std::replace(one_line.begin(), one_line.end(), '\n', ' ');
  measure("one line", one_line, source);
}
