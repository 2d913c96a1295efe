#include "keepway/time.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <ctime>
#include <vector>

#include "keepway/error.hpp"
#include "keepway/text.hpp"

namespace keepway {
namespace {

// A fixed-width number at the front of `text`, taken off.
std::optional<int> take_number(std::string_view& text, std::size_t width) {
  int value = 0;
  if (text.size() < width) return std::nullopt;
  for (std::size_t i = 0; i < width; ++i) {
    if (text[i] < '0' || text[i] > '9') return std::nullopt;
    value = value * 10 + (text[i] - '0');
  }
  text.remove_prefix(width);
  return value;
}

bool take(std::string_view& text, std::string_view any_of) {
  if (text.empty() || any_of.find(text.front()) == std::string_view::npos) return false;
  text.remove_prefix(1);
  return true;
}

// Three numbers between two points, slashes or hyphens, as people write a day.
struct Written {
  int first = 0;
  int second = 0;
  int third = 0;
  std::size_t digits = 0;  // of the third
  char between = '.';
};

std::optional<Written> take_written(std::string_view& text) {
  std::string_view left = text;
  const auto one_or_two = [&]() -> std::optional<int> {
    if (left.size() > 1 && left[1] >= '0' && left[1] <= '9') return take_number(left, 2);
    return take_number(left, 1);
  };
  Written out;
  const auto first = one_or_two();
  if (!first || left.empty()) return std::nullopt;
  out.between = left.front();
  if (!take(left, "./-")) return std::nullopt;
  const auto second = one_or_two();
  if (!second || !take(left, std::string_view(&out.between, 1))) return std::nullopt;
  out.digits = std::min(left.find_first_not_of("0123456789"), left.size());
  const auto third = out.digits == 2 || out.digits == 4 ? take_number(left, out.digits) : std::nullopt;
  if (!third) return std::nullopt;
  out.first = *first;
  out.second = *second;
  out.third = *third;
  text = left;
  return out;
}

// What a written day may be, each once. A year of two digits is never sure: it may come first or last.
std::vector<std::int64_t> readings_of(const Written& written) {
  std::vector<std::int64_t> found;
  const auto add = [&](int year, int month, int day) {
    const auto at = day_start(year, month, day);
    if (at && std::find(found.begin(), found.end(), *at) == found.end()) found.push_back(*at);
  };
  const bool whole = written.digits == 4;
  const auto full = [&](int year) { return whole ? year : whole_year(year); };
  add(full(written.third), written.second, written.first);
  if (written.between != '.') add(full(written.third), written.first, written.second);
  if (!whole) add(full(written.first), written.second, written.third);
  return found;
}

std::optional<WallTime> take_date(std::string_view& text) {
  std::string_view left = text;
  if (const auto written = take_written(left)) {
    const auto readings = readings_of(*written);
    if (written->digits != 4 || readings.size() != 1) return std::nullopt;
    text = left;
    return wall_time(readings.front());
  }
  const auto year = take_number(text, 4);
  const std::string_view between = text.substr(0, 1);  // the year first is never another order
  if (!year || !take(text, "-/.")) return std::nullopt;
  const auto month = take_number(text, 2);
  if (!month || !take(text, between)) return std::nullopt;
  const auto day = take_number(text, 2);
  if (!day || !day_start(*year, *month, *day)) return std::nullopt;
  return WallTime{*year, *month, *day};
}

// The zone's distance from UTC in seconds.
std::optional<std::int64_t> take_zone(std::string_view& text) {
  if (take(text, "zZ")) return 0;
  const bool minus = !text.empty() && text.front() == '-';
  if (!take(text, "+-")) return std::nullopt;
  const auto hours = take_number(text, 2);
  if (!hours || !take(text, ":")) return std::nullopt;
  const auto minutes = take_number(text, 2);
  if (!minutes || *hours > 23 || *minutes > 59) return std::nullopt;
  return (minus ? -1 : 1) * (*hours * 3600 + *minutes * 60);
}

bool is_day(int year, int month, int day) {
  return std::chrono::year_month_day{std::chrono::year(year),
                                     std::chrono::month(static_cast<unsigned>(month)),
                                     std::chrono::day(static_cast<unsigned>(day))}
             .ok() &&
         year >= 1970;
}

WallTime from_broken_down(const std::tm& time) {
  return {time.tm_year + 1900, time.tm_mon + 1, time.tm_mday, time.tm_hour, time.tm_min, time.tm_sec};
}

std::string date_and_time(const WallTime& time) {
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}", time.year, time.month, time.day, time.hour,
                     time.minute);
}

// Of a text that names no zone.
std::optional<std::int64_t> at_offset(const WallTime& time, std::optional<std::int64_t> zone) {
  if (!zone) return at_wall_time(time);
  const auto date = std::chrono::sys_days(std::chrono::year_month_day{
      std::chrono::year(time.year), std::chrono::month(static_cast<unsigned>(time.month)),
      std::chrono::day(static_cast<unsigned>(time.day))});
  return date.time_since_epoch().count() * day_seconds + std::int64_t{time.hour} * 3600 +
         std::int64_t{time.minute} * 60 + time.second - *zone;
}

}  // namespace

WallTime wall_time(std::int64_t at) {
  const std::time_t time = at;
  std::tm parts{};
  ::localtime_r(&time, &parts);
  return from_broken_down(parts);
}

std::optional<std::int64_t> at_wall_time(const WallTime& time) {
  if (!is_day(time.year, time.month, time.day) || time.hour < 0 || time.hour > 23 || time.minute < 0 ||
      time.minute > 59 || time.second < 0 || time.second > 60)
    return std::nullopt;
  std::tm parts{};
  parts.tm_year = time.year - 1900;
  parts.tm_mon = time.month - 1;
  parts.tm_mday = time.day;
  parts.tm_hour = time.hour;
  parts.tm_min = time.minute;
  parts.tm_sec = time.second;
  parts.tm_isdst = -1;
  const std::time_t at = std::mktime(&parts);
  if (at < 0) return std::nullopt;
  return at;
}

std::optional<std::int64_t> day_start(int year, int month, int day) {
  return at_wall_time({year, month, day});
}

std::int64_t day_start_of(std::int64_t at) {
  const WallTime time = wall_time(at);
  return day_start(time.year, time.month, time.day).value_or(0);
}

std::int64_t next_day(std::int64_t at) {
  return day_start_of(day_start_of(at) + day_seconds + 7'200);  // no day is longer than 25 hours
}

std::int64_t wall_as_utc(std::int64_t at) {
  return at_offset(wall_time(at), 0).value_or(at);
}

std::string zone_names() {
  ::tzset();
  const std::string standard = ::tzname[0];
  const std::string summer = ::tzname[1];
  if (standard == "UTC" || standard == "GMT0") return "";
  return ::daylight == 0 || summer == standard ? standard : standard + "/" + summer;
}

int whole_year(int two_digits) {
  return two_digits + (two_digits >= 75 ? 1900 : 2000);
}

std::optional<std::int64_t> parse_time(std::string_view text, bool end_of_day) {
  auto time = take_date(text);
  if (!time) return std::nullopt;
  if (text.empty()) {
    if (end_of_day) return next_day(*at_wall_time(*time)) - 1;
    time->hour = 12;
    return at_wall_time(*time);
  }
  if (!take(text, "Tt ")) return std::nullopt;
  const auto hours = take_number(text, 2);
  if (!hours || *hours > 23 || !take(text, ":")) return std::nullopt;
  const auto minutes = take_number(text, 2);
  if (!minutes || *minutes > 59) return std::nullopt;
  int seconds = 0;
  if (take(text, ":")) {
    const auto given = take_number(text, 2);
    if (!given || *given > 60) return std::nullopt;
    seconds = *given;
    if (take(text, ".")) {  // fractions of a second are more than a backup's time holds
      if (!take(text, "0123456789")) return std::nullopt;
      while (take(text, "0123456789")) {
      }
    }
  }
  const bool local = text.empty();
  const auto zone = local ? std::nullopt : take_zone(text);
  if ((!local && !zone) || !text.empty()) return std::nullopt;
  time->hour = *hours;
  time->minute = *minutes;
  time->second = seconds;
  const auto at = at_offset(*time, zone);
  return at && *at >= 0 ? at : std::nullopt;
}

void refuse_ambiguous_date(std::string_view text) {
  std::string_view left = text;
  const auto written = take_written(left);
  if (!written || (!left.empty() && left.front() != ' ')) return;
  const auto readings = readings_of(*written);
  if (readings.empty() || (readings.size() == 1 && written->digits == 4)) return;
  std::string days;
  for (const std::int64_t at : readings) days += (days.empty() ? "" : " or ") + format_time(at).substr(0, 10);
  throw Error(ErrorKind::usage, fmt::format("'{}' may be {}", escape(text), days),
              fmt::format("write the day that is meant as {}", days));
}

std::string format_time(std::int64_t at) {
  return date_and_time(wall_time(at));
}

std::string format_time_rfc3339(std::int64_t at) {
  const std::time_t time = at;
  std::tm parts{};
  ::gmtime_r(&time, &parts);
  std::string text = date_and_time(from_broken_down(parts));
  text[10] = 'T';
  return fmt::format("{}:{:02}Z", text, parts.tm_sec);
}

std::int64_t months_after(std::int64_t from, int months) {
  using namespace std::chrono;
  const WallTime time = wall_time(from);
  year_month_day date = year(time.year) / month(static_cast<unsigned>(time.month)) /
                            std::chrono::day(static_cast<unsigned>(time.day)) +
                        std::chrono::months(months);
  if (!date.ok()) date = date.year() / date.month() / last;
  return day_start(static_cast<int>(date.year()), static_cast<int>(static_cast<unsigned>(date.month())),
                   static_cast<int>(static_cast<unsigned>(date.day())))
      .value_or(from);
}

}  // namespace keepway
