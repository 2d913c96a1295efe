#include "shop/machine_toml.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <sstream>

namespace keepway {

std::string write_machine_toml(const MachineFacts& facts) {
  std::ostringstream text;
  text << "# What keepway knows of this machine. Change it by hand; the next intake takes the change along.\n"
       << toml::table{{"machine", facts.name},
                      {"title", facts.title},
                      {"serial", facts.serial},
                      {"units", std::string(units_name(facts.units))},
                      {"layout", facts.layout}}
       << "\n";
  return text.str();
}

MachineFacts parse_machine_toml(std::string_view text, const std::string& file) {
  const auto broken = [&](std::uint64_t line, const std::string& what) -> Error {
    return {Exit::input, what, "mend the line in machine.toml, or take the change back", Place{file, line}};
  };
  toml::table table;
  try {
    table = toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    throw broken(error.source().begin.line, std::string(error.description()));
  }
  MachineFacts facts;
  const auto take = [&](std::string_view key, std::string& into) {
    const toml::node* node = table.get(key);
    if (node == nullptr) return;
    const auto* value = node->as_string();
    if (value == nullptr)
      throw broken(node->source().begin.line, fmt::format("'{}' must be a text in quotes", key));
    into = value->get();
  };
  std::string units = "inch";
  take("machine", facts.name);
  take("title", facts.title);
  take("serial", facts.serial);
  take("layout", facts.layout);
  take("units", units);
  const auto known = parse_units(units);
  if (!known) throw broken(table.get("units")->source().begin.line, "'units' must be \"inch\" or \"mm\"");
  facts.units = *known;
  return facts;
}

}  // namespace keepway
