#include "keepway/restore.hpp"

namespace keepway {

const std::vector<std::string>& loading_cautions() {
  static const std::vector<std::string> list = {
      "Wrong parameters move axes unexpectedly. Follow the machine builder's manual and local codes.",
      "If you are not qualified for this, get someone who is.",
      "Back the machine up once more before you load anything, and compare what it holds with what you load.",
      "Clear the machine: no part, no tool near the table, nobody within reach, doors and guards shut.",
      "Set feed and rapid overrides low.",
      "Make the first move in air, one axis at a time, with a hand on the emergency stop.",
      "Before you open a cabinet: power off, locked out and tagged out.",
  };
  return list;
}

}  // namespace keepway
