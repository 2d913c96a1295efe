#include <algorithm>
#include <memory>

#include "cli/acts.hpp"
#include "cli/prepare.hpp"
#include "cli/progress.hpp"

namespace keepway::cli {
namespace {

// The machine whose layout takes most of a slot's files; empty when none takes any, or two take as many.
std::string belongs_to(const std::vector<Machine>& machines, const media::Slot& slot) {
  std::string best;
  std::size_t most = 0;
  for (const Machine& machine : machines) {
    std::size_t taken = 0;
    for (const media::SlotFile& file : slot.files) {
      const auto takes = [&](const Source& source) {
        return match_name(source, file.name, machine.facts().serial) == NameMatch::yes;
      };
      taken += std::any_of(machine.layout().sources.begin(), machine.layout().sources.end(), takes) ? 1U : 0U;
    }
    if (taken == 0 || taken < most) continue;
    best = taken == most ? "" : machine.facts().name;
    most = taken;
  }
  return best;
}

}  // namespace

Done list_slots(const std::string& path, const std::string& shown, const std::vector<Machine>& machines,
                const Tell& tell, show::Style style) {
  std::vector<show::SlotFacts> facts;
  media::Stick stick = media::find_stick(path, tell);
  for (media::Slot& slot : stick.slots) {
    std::string machine = belongs_to(machines, slot);
    facts.push_back({std::move(slot), std::move(machine)});
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
      for (const std::string& name : shop.machines()) machines.push_back(shop.machine(name));
    } catch (const Error&) {
      machines.clear();
    }
    if (prepare->count != 0) {
      prepare_medium(globals, *path, *prepare, machines);
      return;
    }
    finish(globals, list_slots(*path, *path, machines, Progress::tell, style(globals)));
  });
}

}  // namespace keepway::cli
