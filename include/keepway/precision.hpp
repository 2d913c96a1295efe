// How many digits a control writes behind the point of each of its numbers. The normal form drops zeros, so
// that 6.000 is kept as `6.`; who compares a screen or a sheet of paper with the control wants to read 6.000.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "keepway/reader.hpp"

namespace keepway {

class Precision {
 public:
  Precision() = default;  // of nothing: every value stays as it is
  // Of a backup: its files, and what they were read as by this layout.
  Precision(const Reading& reading, const std::vector<OriginalView>& files, const Layout& layout,
            Units units);

  // An item's value with as many digits behind the point as the backup had there: "6." is "6.000". More
  // digits stay, and so does what is no number. No point is added where a number with one is another value.
  [[nodiscard]] std::string written(Group group, const std::string& key, const std::string& value) const;

 private:
  struct Form {
    std::uint8_t places = 0;
    bool may_add_point = false;
  };
  std::array<std::unordered_map<std::string, Form>, 5> forms_;  // by group
};

}  // namespace keepway
