// When a battery is due.
#include "keepway/facts.hpp"
#include "keepway/time.hpp"

namespace keepway {

std::optional<std::int64_t> Battery::due() const {
  return changed ? std::optional(months_after(*changed, every_months)) : std::nullopt;
}

bool Battery::is_due(std::int64_t now) const {
  const auto day = due();
  return day && *day <= now;
}

}  // namespace keepway
