// Two machines of the shop side by side: what the command says of them, as a data file.
#include "show/twins.hpp"

#include <fmt/format.h>

#include "show/pages/data.hpp"

namespace keepway::show {

std::string twins_path(const std::string& a, const std::string& b) {
  return fmt::format("data/twins/{}/{}/twins.js", a, b);
}

PageFile twins_page(const Context& context, const TwinFacts& facts) {
  Json json = twins_json(context, facts);
  const auto side = [](Json& of, const MachineFacts& machine, const Backup& at) {
    of["units"] = units_name(machine.units);
    of["key"] = pages::key_of(at);
    of["name"] = escape(name_of(at));
    of["taken"] = at.at;
  };
  side(json["a"], facts.a, facts.at_a);
  side(json["b"], facts.b, facts.at_b);
  json["counted"] = twins_counted(facts.twins);
  json["caution"] = twins_caution;
  for (const char* left_out : {"own", "living"}) json.erase(left_out);
  json["programs"] = Json::array();  // what changed in them would be most of the file
  for (const ProgramChange& change : facts.twins.programs)
    json["programs"].push_back({{"program", escape(change.name)}, {"said", difference_of(facts, change)}});
  const std::string name =
      fmt::format("twins/{}/{}/twins", facts.a.name, facts.b.name);  // as the pages load it
  return {twins_path(facts.a.name, facts.b.name), pages::data_file(name, json)};
}

}  // namespace keepway::show
