#include <algorithm>

#include "cli/command.hpp"

namespace keepway::cli {

void add_status(Command app, Globals& globals) {
  Command made = command(app, "status",
                         "The shop at a glance: each machine's last good backup, verdict, trial and battery; "
                         "what is due first (exit 1 if anything is, or a newest backup is doubtful)",
                         "keepway status\n  keepway status --json");
  made->callback([&globals] {
    const std::vector<MachineStatus> machines = shop_status(open_shop(globals), now());
    print(globals, show::status(machines, now(), style(globals)));
    const bool due = std::any_of(machines.begin(), machines.end(),
                                 [](const MachineStatus& status) { return status.is_due(now()); });
    if (due) globals.exit = Exit::look;
  });
}

}  // namespace keepway::cli
