// What is known of a machine itself: machine.toml.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "keepway/state.hpp"

namespace keepway {

// The battery behind a control's memory.
struct Battery {
  std::optional<std::int64_t> changed;  // midnight of the day; none: nobody said
  int every_months = 12;                // after which a new one is due
  // Midnight of the day on which a new one is due; none: nobody said when the old one was put in.
  [[nodiscard]] std::optional<std::int64_t> due() const;
  [[nodiscard]] bool is_due(std::int64_t now) const;
};

struct MachineFacts {
  std::string name;
  std::string title;
  std::string serial;
  Units units = Units::inch;
  std::string layout;  // name or file it was enrolled with; layout.toml itself is in the repository
  std::optional<int> backup_every_days;  // after which a new good backup is due; none: nobody said
  Battery battery;
};

// machine.toml as facts. Error{input} with line.
MachineFacts parse_machine_toml(std::string_view text, const std::string& file);

}  // namespace keepway
