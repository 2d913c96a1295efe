// How much a value creeps: the slope that most pairs of its points agree on.
//
// P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, Journal of the American
// Statistical Association 63 (1968), 1379-1389: the median of the slopes of all pairs, and its bounds by the
// spread of Kendall's tau, equal values counted. A wrong value among many, or a jump, moves it little. For
// showing only: a slope is an estimate, and may be a binary fraction where a value of the machine never is.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "keepway/report.hpp"
#include "show/pages/values.hpp"

namespace keepway::show::pages {

struct Point {
  std::int64_t at = 0;  // seconds since 1970 UTC
  double value = 0;
};

struct Slope {
  double per_second = 0;
  double least = 0;  // between these with a confidence of 95 %
  double most = 0;
  double level = 0;  // of the line at the time 0: median of what is left
};
// nullopt with fewer than two points of different times.
std::optional<Slope> robust_slope(const std::vector<Point>& points);

// A number over the last year of its good backups.
struct Drift {
  std::size_t points = 0;
  double per_year = 0;
  double least = 0;
  double most = 0;
  double now = 0;  // where the line is at the last of the points
  std::int64_t to = 0;
  bool is_sure = false;  // both bounds have one sign
  // When the line meets the limit that it runs to, and the earliest and latest by its bounds; 0: never.
  std::string limit;
  std::int64_t meets = 0;
  std::int64_t earliest = 0;
  std::int64_t latest = 0;
};
constexpr std::size_t fewest_for_forecast = 8;
// nullopt for what is no number, did not change within the year, or has fewer than three good backups there.
std::optional<Drift> drift_of(const History& history, const Report& report, const GoodBackups& goods);

}  // namespace keepway::show::pages
