// Times as people and programs write them: RFC 3339 and plain dates.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace keepway {

inline constexpr std::int64_t day_seconds = 86'400;

// RFC 3339 ("2026-03-01T06:30:00-05:00", "…Z") or a date ("2026-03-01", its last second when
// `end_of_day`, else its noon: a backup known only by its day), which may be written "1.3.2026" too, day
// first, and with slashes where only one order makes a day. nullopt when it is neither. UTC.
std::optional<std::int64_t> parse_time(std::string_view text, bool end_of_day);
// Error{usage} with each reading for a date that may be one day or another ("1/3/2026", "25.06.21").
void refuse_ambiguous_date(std::string_view text);
// The first second of a day; nullopt for one that the calendar does not have, and before 1970. UTC.
std::optional<std::int64_t> day_start(int year, int month, int day);
// The year that two digits are written for: 75 to 99 are of the last century. Common practice, no source.
int whole_year(int two_digits);
std::string format_time(std::int64_t at);  // "2026-03-01 06:30"
std::string format_time_rfc3339(std::int64_t at);

}  // namespace keepway
