// Sticks at the counter: which are plugged in, and what is on one. Its slots are then looked at as what was
// dropped is.
#include <limits>

#include "cli/acts.hpp"
#include "cli/counter_acts.hpp"
#include "cli/plain_acts.hpp"

namespace keepway::cli {

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
  return begin_look(id, "slots", {}, [this, id](const Tell& tell) {
    const Drop& drop = drops_.get(id);
    if (drop.stick != 0) (void)sticks_.get(drop.stick);
    const std::string path = drop.path().string();
    std::vector<Machine> machines;
    for (const std::string& name : live_.machines()) machines.push_back(live_.machine(name));
    return page_answer(list_slots(path, without_folder(path), machines, tell, page_style));
  });
}

}  // namespace keepway::cli
