// The card that hangs on the machine, of its newest good backup: for the command and for the pages.
#pragma once

#include <optional>
#include <string>

#include "keepway/machine.hpp"
#include "keepway/sheet.hpp"

namespace keepway::cli {

struct Card {
  std::string html;
  std::optional<Backup> of;  // none where no backup is good yet
  bool has_steps = false;    // the layout says how to take a backup, and how to put one back
};
Card card_of(const Machine& machine, show::Paper paper);

}  // namespace keepway::cli
