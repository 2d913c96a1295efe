// Times as people and programs write them: RFC 3339 and plain dates. People's times are by the clock on the
// wall, in this computer's zone ($TZ, else the system's); what is stored, and JSON, is UTC.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace keepway {

inline constexpr std::int64_t day_seconds = 86'400;

// RFC 3339 ("2026-03-01T06:30:00-05:00", "…Z"; without a zone by the clock on the wall) or a date
// ("2026-03-01", its last second when `end_of_day`, else its noon: a backup known only by its day), which may
// be written "1.3.2026" too, day first, and with slashes where only one order makes a day. nullopt when it is
// neither.
std::optional<std::int64_t> parse_time(std::string_view text, bool end_of_day);
// Error{usage} with each reading for a date that may be one day or another ("1/3/2026", "25.06.21").
void refuse_ambiguous_date(std::string_view text);

struct WallTime {
  int year = 1970;
  int month = 1;
  int day = 1;
  int hour = 0;
  int minute = 0;
  int second = 0;
};
WallTime wall_time(std::int64_t at);
// nullopt for what no calendar or clock has, and before 1970. Of an hour that comes twice when clocks are set
// back, one of the two; one that is skipped when they are set forward is an hour off.
std::optional<std::int64_t> at_wall_time(const WallTime& time);
// The first second of a day, of the day that a time is in, and of the next. nullopt as at_wall_time().
std::optional<std::int64_t> day_start(int year, int month, int day);
std::int64_t day_start_of(std::int64_t at);
std::int64_t next_day(std::int64_t at);
// The day so many months after `from`, or the month's last where it has no such day (31 January and a month
// is 28 or 29 February), at its midnight.
std::int64_t months_after(std::int64_t from, int months);
// What the clock on the wall shows, taken for UTC: so the first version of keepway dated what carries no
// zone.
std::int64_t wall_as_utc(std::int64_t at);
// The names of this computer's zone, "CET/CEST", as its system has them; empty for UTC.
std::string zone_names();

// The year that two digits are written for: 75 to 99 are of the last century. Common practice, no source.
int whole_year(int two_digits);
std::string format_time(std::int64_t at);          // "2026-03-01 06:30", by the clock on the wall
std::string format_time_rfc3339(std::int64_t at);  // "2026-03-01T05:30:00Z"

}  // namespace keepway
