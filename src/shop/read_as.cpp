#include "shop/read_as.hpp"

#include "reader/read_set.hpp"
#include "shop/machine_toml.hpp"

namespace keepway {

ReadAs read_as(std::string layout, const std::string& machine) {
  MachineFacts facts = parse_machine_toml(machine, "machine.toml");
  return {std::move(layout), {std::move(facts.serial), facts.units}};
}

ReadAs read_as(const store::Repository& repository, const store::Oid& commit) {
  return read_as(repository.read_at(commit, "layout.toml").value_or(""),
                 repository.read_at(commit, "machine.toml").value_or(""));
}

ReadAs read_as(const Machine& machine, const store::Oid& commit) {
  return read_as(machine.repository(), commit);
}

ReadAs read_as_today(const Machine& machine) {
  return {machine.layout_text(), {machine.facts().serial, machine.facts().units}};
}

State state_of(const media::Set& originals, const ReadAs& as) {
  return read_set(originals, parse_layout(as.layout, "layout.toml"), as.context).state;
}

}  // namespace keepway
