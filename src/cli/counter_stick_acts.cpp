// Sticks at the counter: which are plugged in, and what is on one. Its slots are then looked at as what was
// dropped is; or one is written to, when a person has seen what it holds and typed the machine's name.
#include <fmt/format.h>

#include <limits>

#include "cli/acts.hpp"
#include "cli/counter_acts.hpp"
#include "cli/plain_acts.hpp"
#include "cli/slot_machine.hpp"
#include "cli/target.hpp"

namespace keepway::cli {
namespace {

// What was dropped is nobody's stick.
void require_stick(const Drop& drop) {
  if (drop.stick == 0)
    throw Error(ErrorKind::usage, "this is no stick that is plugged in", "choose a stick from the list");
}

}  // namespace

// Those that may be chosen, each by its number.
nlohmann::ordered_json CounterActs::sticks(const CounterWords& /*words*/) {
  const auto listed = sticks_.list();
  std::vector<media::Plugged> there;
  there.reserve(listed.size());
  for (const auto& [number, stick] : listed) there.push_back(stick);
  Json json = page_answer(list_sticks(there, page_style));
  for (std::size_t i = 0; i < listed.size(); ++i) json["answer"]["sticks"][i]["number"] = listed[i].first;
  return json;
}

// From here on it is looked at as if it had been dropped.
nlohmann::ordered_json CounterActs::stick(const CounterWords& words) {
  const int number = words.number("number", std::numeric_limits<int>::max());
  return {{"exit", 0}, {"drop", drops_.begin(sticks_.get(number).path, number)}};
}

// Of a stick, or of an image that was dropped.
nlohmann::ordered_json CounterActs::slots(const CounterWords& words) {
  const std::string id = words.text("drop");
  return begin_look(id, "slots", {}, [this, id](const OnProgress& on_progress) {
    const Drop& drop = drops_.get(id);
    if (drop.stick != 0) (void)sticks_.get(drop.stick);
    const std::string path = drop.path().string();
    const std::vector<Machine> machines = readable_machines(live_.shop(), live_.shop().machines());
    return page_answer(list_slots(path, without_folder(path), machines, on_progress, page_style));
  });
}

nlohmann::ordered_json CounterActs::target(const CounterWords& words) {
  const std::string name = words.text("machine");
  live_.check_shown(name);
  const std::string id = words.text("drop");
  require_stick(drops_.get(id));
  return begin_look(
      id, "slot for " + name, look_asked(words), [this, id, name](const OnProgress& on_progress) {
        const Drop& drop = drops_.get(id);
        const std::string path = sticks_.get(drop.stick).path.string();
        const media::Target target = media::describe_target(path, drop.look.slot, on_progress);
        const std::vector<Machine> machines = readable_machines(live_.shop(), live_.shop().machines());
        SlotOwners owners(machines);
        SlotOwner holds;
        for (const media::Slot& slot : target.slots) {
          if (slot.number == drop.look.slot) holds = slot_owner_at(owners, path, slot);
        }
        Json json = page_answer({show::overwritten(path, target, drop.look.slot, holds)});
        json["seen"] = target.digest;
        json["another"] = is_of_another(holds, name);
        return json;
      });
}

// Into the slot that was shown, if it still holds that.
nlohmann::ordered_json CounterActs::write(const CounterWords& words) {
  const std::string name = words.text("machine");
  live_.check_shown(name);
  const std::string id = words.text("drop");
  const Drop& looked = looked_at(id, name);
  require_stick(looked);
  if (!looked.look.another.empty() && !words.is_on("overwrite"))
    throw refuse_another_machines_slot(looked.look.another);
  if (words.text("typed") != name) {
    throw Error(ErrorKind::refused, "what was typed is not the machine's name, and nothing was written",
                fmt::format("type {}, if the slot is the right one", name));
  }
  return begin_storing(id, "write for " + name, [this, words, id](const OnProgress& on_progress) {
    const Drop& drop = drops_.get(id);
    const Machine machine = machine_of(words);
    on_progress("Making the files", 0, 0);
    const RestoreJob asked = job(machine, words, false, on_progress);
    TargetOptions target;
    target.to = sticks_.get(drop.stick).path.string();  // another one may be in its place by now
    target.slot = drop.look.slot;
    target.device = true;
    target.short_names = words.is_on("short_names");
    target.seen = drop.look.seen;
    target.on_progress = on_progress;
    const Written written = write_target(asked, target);
    remember_composed(machine, asked);
    Json json = page_answer({show::restore(
        context(machine, page_style), {asked, written.title, written.paths, written.kept,
                                       set_digest(asked.set), written.short_names, written.short_names_in})});
    json["seen"] = "";
    return json;
  });
}

}  // namespace keepway::cli
