#include <memory>

#include "cli/acts.hpp"
#include "cli/prepare.hpp"
#include "cli/progress.hpp"
#include "cli/slot_machine.hpp"

namespace keepway::cli {
Done list_slots(const std::string& path, const std::string& shown, const std::vector<Machine>& machines,
                const OnProgress& on_progress, show::Style style) {
  std::vector<show::SlotFacts> facts;
  media::Stick stick = media::find_stick(path, on_progress);
  SlotOwners owners(machines);
  for (media::Slot& slot : stick.slots) {
    if (on_progress) on_progress("slots read", facts.size(), stick.slots.size());
    SlotOwner owner = slot_owner_at(owners, path, slot);
    facts.push_back({std::move(slot), std::move(owner.machine), std::move(owner.says)});
  }
  return {show::slots(shown, facts, stick, style), facts.empty() ? Exit::look : Exit::done};
}

Done list_sticks(const std::vector<media::Plugged>& sticks, show::Style style) {
  return {show::sticks(sticks, style), sticks.empty() ? Exit::look : Exit::done};
}

void add_slots(Command app, Globals& globals) {
  auto path = std::make_shared<std::string>();
  auto prepare = std::make_shared<PrepareOptions>();
  Command made = command(app, "slots", "List the floppy-sized volumes on a stick or its image, or make them",
                         "keepway slots\n  keepway slots /media/stick.img\n  keepway slots /dev/sdX\n"
                         "  keepway slots stick.img --prepare 10 --spacing 1572864");
  made->add_option("PATH", *path,
                   "An image file or a block device; else the sticks that are plugged in are listed")
      ->filled();
  add_prepare_options(made, *prepare);
  made->callback([&globals, path, prepare] {
    if (path->empty() && prepare->count != 0)
      throw Error(ErrorKind::usage, "no medium is named",
                  "name it: keepway slots lists those that are plugged in");
    if (path->empty()) return finish(globals, list_sticks(media::plugged_in(), style(globals)));
    std::vector<Machine> machines;
    try {  // without a shop the slots are listed all the same
      const Shop shop = open_shop(globals);
      machines = readable_machines(shop, shop.machines());
    } catch (const Error&) {
      machines.clear();
    }
    if (prepare->count != 0) {
      prepare_medium(globals, *path, *prepare, machines);
      return;
    }
    finish(globals, list_slots(*path, *path, machines, Progress::report, style(globals)));
  });
}

}  // namespace keepway::cli
