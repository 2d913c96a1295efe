#include "keepway/time.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <chrono>
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

// Three numbers between two points or two slashes, as people write a day.
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
  if (!take(left, "./")) return std::nullopt;
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
  if (written.between == '/') add(full(written.third), written.first, written.second);
  if (!whole) add(full(written.first), written.second, written.third);
  return found;
}

std::optional<std::int64_t> take_date(std::string_view& text) {
  std::string_view left = text;
  if (const auto written = take_written(left)) {
    const auto readings = readings_of(*written);
    if (written->digits != 4 || readings.size() != 1) return std::nullopt;
    text = left;
    return readings.front();
  }
  const auto year = take_number(text, 4);
  if (!year || !take(text, "-")) return std::nullopt;
  const auto month = take_number(text, 2);
  if (!month || !take(text, "-")) return std::nullopt;
  const auto day = take_number(text, 2);
  if (!day) return std::nullopt;
  return day_start(*year, *month, *day);
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

std::chrono::sys_seconds point(std::int64_t at) {
  return std::chrono::sys_seconds(std::chrono::seconds(at));
}

struct Clock {
  std::chrono::year_month_day date;
  std::chrono::hh_mm_ss<std::chrono::seconds> time;
};

Clock clock_of(std::int64_t at) {
  const auto day = std::chrono::floor<std::chrono::days>(point(at));
  return {std::chrono::year_month_day(day), std::chrono::hh_mm_ss<std::chrono::seconds>(point(at) - day)};
}

}  // namespace

std::optional<std::int64_t> day_start(int year, int month, int day) {
  const std::chrono::year_month_day date{std::chrono::year(year),
                                         std::chrono::month(static_cast<unsigned>(month)),
                                         std::chrono::day(static_cast<unsigned>(day))};
  if (!date.ok() || year < 1970) return std::nullopt;
  return std::chrono::sys_days(date).time_since_epoch().count() * day_seconds;
}

int whole_year(int two_digits) {
  return two_digits + (two_digits >= 75 ? 1900 : 2000);
}

std::optional<std::int64_t> parse_time(std::string_view text, bool end_of_day) {
  const auto date = take_date(text);
  if (!date) return std::nullopt;
  if (text.empty()) return *date + (end_of_day ? day_seconds - 1 : day_seconds / 2);
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
  const auto zone = text.empty() ? std::optional<std::int64_t>(0) : take_zone(text);
  if (!zone || !text.empty()) return std::nullopt;
  const std::int64_t at = *date + std::int64_t{*hours} * 3600 + std::int64_t{*minutes} * 60 + seconds - *zone;
  if (at < 0) return std::nullopt;
  return at;
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
  const Clock clock = clock_of(at);
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}", static_cast<int>(clock.date.year()),
                     static_cast<unsigned>(clock.date.month()), static_cast<unsigned>(clock.date.day()),
                     clock.time.hours().count(), clock.time.minutes().count());
}

std::string format_time_rfc3339(std::int64_t at) {
  std::string text = format_time(at);
  text[10] = 'T';
  return fmt::format("{}:{:02}Z", text, clock_of(at).time.seconds().count());
}

}  // namespace keepway
