// Times as people and programs write them: RFC 3339 and plain dates.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace keepway {

// RFC 3339 ("2026-03-01T06:30:00-05:00", "…Z") or a date ("2026-03-01", its last second when
// `end_of_day`, else its noon: a backup known only by its day). nullopt when it is neither. UTC.
std::optional<std::int64_t> parse_time(std::string_view text, bool end_of_day);
std::string format_time(std::int64_t at);  // "2026-03-01 06:30"
std::string format_time_rfc3339(std::int64_t at);

}  // namespace keepway
