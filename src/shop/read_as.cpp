#include "shop/read_as.hpp"

#include "shop/machine_toml.hpp"

namespace keepway {

ReadAs read_as(const Machine& machine, const store::Oid& commit) {
  const store::Repository& repository = machine.repository();
  const MachineFacts facts =
      parse_machine_toml(repository.read_at(commit, "machine.toml").value_or(""), "machine.toml");
  return {repository.read_at(commit, "layout.toml").value_or(""), {facts.serial, facts.units}};
}

}  // namespace keepway
