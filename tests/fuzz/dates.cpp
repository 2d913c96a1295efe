// Any bytes as a time that a person typed and as the name of a folder in the drawer: what is read as a time
// is spelled and read again as the same, and a date in a name is a span of time.
#include <string_view>

#include "keepway/pile.hpp"
#include "keepway/time.hpp"
#include "require.hpp"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  using namespace keepway;
  using fuzz::require;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  for (const bool end_of_day : {false, true}) {
    const auto at = parse_time(bytes, end_of_day);
    if (!at) continue;
    require(parse_time(format_time_rfc3339(*at), false) == at);
    require(*at >= *parse_time(bytes, false));
  }
  if (const auto date = date_in_name(bytes)) {
    require(!date->day_first.empty() || !date->month_first.empty());
    for (const auto& spans : {date->day_first, date->month_first}) {
      for (const DateSpan& span : spans) require(span.from < span.until && span.holds(span.from));
    }
  }
  return 0;
}
