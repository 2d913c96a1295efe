#include "shop/read_as.hpp"

#include <fmt/format.h>

#include "reader/read_set.hpp"
#include "shop/backup_commit.hpp"
#include "shop/machine_toml.hpp"

namespace keepway {
namespace {

// A file of the owner's as it was with a backup. Where it is lost, the machine's folder may hold the same.
std::string owner_file(const store::Repository& repository, const store::Oid& commit, const char* path) {
  try {
    return repository.read_at(commit, path).value_or("");
  } catch (const Error& error) {
    const auto id = error.kind() == ErrorKind::store ? repository.id_at(commit, path) : std::nullopt;
    if (!id) throw;
    auto today = repository.working_file(path);
    if (!today || repository.blob_ids({*today}).front() != *id) {
      throw Error(ErrorKind::store,
                  fmt::format("the {} of that backup is lost (object {}), and today's is another: what its "
                              "values mean is not known",
                              path, *id),
                  "repair it from another clone or remote: keepway audit MACHINE --from CLONE");
    }
    const auto backup = backup_from_commit(repository.info(commit));
    repository.say_lost(
        fmt::format(
            "the stored {} (object {}) is lost; the same one is in the machine's folder, and is read instead",
            path, *id),
        backup ? std::vector<std::string>{name_of(*backup)} : std::vector<std::string>());
    return std::move(*today);
  }
}

}  // namespace

ReadAs read_as(std::string layout, const std::string& machine) {
  MachineFacts facts = parse_machine_toml(machine, "machine.toml");
  return {std::move(layout), {std::move(facts.serial), facts.units}};
}

ReadAs read_as(const store::Repository& repository, const store::Oid& commit) {
  return read_as(owner_file(repository, commit, "layout.toml"),
                 owner_file(repository, commit, "machine.toml"));
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
