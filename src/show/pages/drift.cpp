#include "show/pages/drift.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace keepway::show::pages {
namespace {

constexpr double seconds_a_year = 365.25 * 86'400;
// All pairs of these are looked at; of more points as many are taken, evenly.
constexpr std::size_t most_points = 120;
// The standard normal's 0.975 quantile.
constexpr double both_sides_95 = 1.959964;

double median(std::vector<double>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

// Sum of t(t-1)(2t+5) over the groups of equal ones.
template <typename Get>
double ties(const std::vector<Point>& points, Get get) {
  std::vector<double> sorted;
  sorted.reserve(points.size());
  for (const Point& point : points) sorted.push_back(static_cast<double>(get(point)));
  std::sort(sorted.begin(), sorted.end());
  double sum = 0;
  for (auto at = sorted.begin(); at != sorted.end();) {
    const auto end = std::upper_bound(at, sorted.end(), *at);
    const auto t = static_cast<double>(end - at);
    sum += t * (t - 1) * (2 * t + 5);
    at = end;
  }
  return sum;
}

std::vector<Point> thinned(std::vector<Point> points) {
  if (points.size() <= most_points) return points;
  std::vector<Point> kept;
  kept.reserve(most_points);
  for (std::size_t i = 0; i < most_points; ++i)
    kept.push_back(points[i * (points.size() - 1) / (most_points - 1)]);
  return kept;
}

// The item in each good backup of the last year, by date.
std::vector<Point> year_of(const History& history, const GoodBackups& goods) {
  std::vector<Point> points;
  const auto& versions = history.versions;
  auto good = goods.last_year().begin();
  const auto last = goods.last_year().end();
  for (std::size_t i = 0; i < versions.size() && good != last; ++i) {
    const std::size_t end = i + 1 < versions.size() ? versions[i + 1].backup : goods.backups();
    while (good != last && good->place < versions[i].backup) ++good;
    if (good == last || good->place >= end) continue;
    if (!versions[i].value || !Decimal::is_number(*versions[i].value)) continue;
    const double value = std::strtod(versions[i].value->c_str(), nullptr);
    for (; good != last && good->place < end; ++good) points.push_back({good->at, value});
  }
  std::sort(points.begin(), points.end(), [](const Point& a, const Point& b) { return a.at < b.at; });
  return points;
}

void forecast(Drift& drift, const Entry& entry) {
  const auto& limit = drift.per_year > 0 ? entry.max : entry.min;
  if (!limit) return;
  const double left = std::strtod(limit->text().c_str(), nullptr) - drift.now;
  // No clock reaches further than this, and no forecast is worth a tenth of it.
  constexpr double longest_years = 10;
  const auto when = [&](double per_year) -> std::int64_t {
    const double years = left / per_year;
    return years > 0 && years < longest_years ? drift.to + static_cast<std::int64_t>(years * seconds_a_year)
                                              : 0;
  };
  drift.meets = when(drift.per_year);
  if (drift.meets == 0) return;
  drift.limit = limit->text();
  const bool up = drift.per_year > 0;
  drift.earliest = when(up ? drift.most : drift.least);
  drift.latest = when(up ? drift.least : drift.most);
}

}  // namespace

std::optional<Slope> robust_slope(const std::vector<Point>& points) {
  std::vector<double> slopes;
  slopes.reserve(points.size() * (points.size() - 1) / 2);
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t k = i + 1; k < points.size(); ++k) {
      if (points[i].at == points[k].at) continue;
      slopes.push_back((points[k].value - points[i].value) /
                       static_cast<double>(points[k].at - points[i].at));
    }
  }
  if (slopes.empty()) return std::nullopt;
  Slope slope;
  const auto n = static_cast<double>(points.size());
  const double spread = (n * (n - 1) * (2 * n + 5) - ties(points, [](const Point& p) { return p.at; }) -
                         ties(points, [](const Point& p) { return p.value; })) /
                        18;
  const auto pairs = static_cast<double>(slopes.size());
  const double reach = both_sides_95 * std::sqrt(std::max(spread, 0.0));
  const auto last = static_cast<std::ptrdiff_t>(slopes.size()) - 1;
  const auto of_rank = [&](double of) {
    const auto rank = std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(std::floor(of)), 0, last);
    std::nth_element(slopes.begin(), slopes.begin() + rank, slopes.end());
    return slopes[static_cast<std::size_t>(rank)];
  };
  slope.least = of_rank((pairs - reach) / 2 - 1);
  slope.most = of_rank(std::ceil((pairs + reach) / 2));
  slope.per_second = median(slopes);
  std::vector<double> levels;
  levels.reserve(points.size());
  for (const Point& point : points)
    levels.push_back(point.value - slope.per_second * static_cast<double>(point.at));
  slope.level = median(levels);
  return slope;
}

std::optional<Drift> drift_of(const History& history, const Report& report, const GoodBackups& goods) {
  if (history.is_program() || history.versions.size() < 2) return std::nullopt;
  std::vector<Point> points = year_of(history, goods);
  constexpr std::size_t fewest = 3;
  if (points.size() < fewest) return std::nullopt;
  if (std::all_of(points.begin(), points.end(), [&](const Point& p) { return p.value == points[0].value; }))
    return std::nullopt;
  Drift drift;
  drift.points = points.size();
  drift.to = points.back().at;
  for (Point& point : points) point.at -= drift.to;  // near 0, so that the level keeps its digits
  const auto slope = robust_slope(thinned(std::move(points)));
  if (!slope) return std::nullopt;
  drift.per_year = slope->per_second * seconds_a_year;
  drift.least = slope->least * seconds_a_year;
  drift.most = slope->most * seconds_a_year;
  drift.now = slope->level;
  drift.is_sure = drift.least > 0 || drift.most < 0;
  const auto entry = report.namebook.find(history.address.group, history.address.key);
  if (entry && drift.is_sure && drift.points >= fewest_for_forecast) forecast(drift, *entry);
  return drift;
}

}  // namespace keepway::show::pages
