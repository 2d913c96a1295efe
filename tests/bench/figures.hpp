// Measured runs of one program, and a line of the bench: ours beside git's, in one form.
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <string>
#include <vector>

#include "process.hpp"

namespace bench {

// Of sorted or unsorted values, by rank; 0 of none.
inline double quantile(std::vector<double> all, double rank) {
  if (all.empty()) return 0;
  std::sort(all.begin(), all.end());
  return all[static_cast<std::size_t>(rank * static_cast<double>(all.size() - 1) + 0.5)];
}
inline double median(std::vector<double> all) {
  return quantile(std::move(all), 0.5);
}

class Samples {
 public:
  void add(const Run& run) {
    wall_.push_back(run.milliseconds);
    processor_.push_back(run.processor);
    peak_kb_ = std::max(peak_kb_, run.peak_kb);
  }
  [[nodiscard]] double wall() const { return median(wall_); }
  [[nodiscard]] double processor() const { return median(processor_); }
  // "12.34 (11.90-13.01) cpu 11.20 ms 21 MB": the median, the middle half, processor time, peak memory.
  [[nodiscard]] std::string text() const {
    return fmt::format("{:8.2f} ({:.2f}-{:.2f}) cpu {:7.2f} ms {:4.0f} MB", wall(), quantile(wall_, 0.25),
                       quantile(wall_, 0.75), processor(), static_cast<double>(peak_kb_) / 1e3);
  }

 private:
  std::vector<double> wall_;
  std::vector<double> processor_;
  long peak_kb_ = 0;
};

class Table {
 public:
  Table(std::string shape, std::size_t depth) : front_(fmt::format("{:<7}{:>6}  ", shape, depth)) {}
  void compare(const std::string& what, const Samples& ours, const std::string& theirs_name,
               const Samples& theirs) const {
    say(fmt::format("{:<24}{}   {:<18}{}   ratio {:.3f}, of cpu {:.3f}", what, ours.text(), theirs_name,
                    theirs.text(), ours.wall() / theirs.wall(), ours.processor() / theirs.processor()));
  }
  void alone(const std::string& what, const Samples& ours, const std::string& more = "") const {
    say(fmt::format("{:<24}{}   {}", what, ours.text(), more));
  }
  void say(const std::string& text) const {
    fmt::print("{}{}\n", front_, text);
    std::fflush(stdout);
  }

 private:
  std::string front_;
};

}  // namespace bench
