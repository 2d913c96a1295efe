// Which sticks a browser may ask for: those that were listed here, by the numbers that they got then.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "keepway/media.hpp"

namespace keepway::cli {

// Motivation: no stick is opened by a name that comes from a browser. A number is good for one stick only,
// and only while that is plugged in: for another one in its place there is another.
class Sticks {
 public:
  // `named`: images and devices that are listed beside what the system says is plugged in.
  explicit Sticks(std::vector<std::string> named) : named_(std::move(named)) {}

  // Those that are there now, with their numbers.
  std::vector<std::pair<int, media::Plugged>> list();
  // Error{usage} for a number that list() never gave, or whose stick is there no longer.
  [[nodiscard]] media::Plugged get(int number) const;

 private:
  [[nodiscard]] std::vector<media::Plugged> there() const;
  std::vector<std::string> named_;
  std::map<std::string, int> numbers_;  // by identity
};

}  // namespace keepway::cli
