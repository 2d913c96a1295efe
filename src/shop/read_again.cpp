// States read again from their originals: those that a reader of another version made, and those that are
// lost.
//
// Motivation: a reader's normal form may change. Two states may only be compared when one reader made both,
// else an upgrade would show changes that the machine never had.
#include "shop/read_again.hpp"

#include <fmt/format.h>

#include <map>
#include <utility>

#include "keepway/trial.hpp"
#include "shop/backup_commit.hpp"
#include "shop/read_as.hpp"
#include "shop/stored_set.hpp"

namespace keepway {

bool made_by_this_reader(const store::CommitInfo& commit) {
  const auto backup = backup_from_commit(commit);
  return !backup || backup->reader == reader_version;
}

namespace {

State made_at(const store::Repository& repository, const store::Oid& commit) {
  return state_of(originals_at(repository, commit), read_as(repository, commit));
}

// Of a kept trial, with the items that other commits' originals carry.
State made_from_originals(const store::Repository& repository, const Backup& backup) {
  State state = made_at(repository, backup.commit);
  if (backup.kept.empty()) return state;
  std::map<store::Oid, std::vector<Address>> by_carrier;
  for (const Carried& each : carried_items(repository, backup.commit)) {
    by_carrier[each.commit].push_back(each.address);
  }
  for (const auto& [carrier, addresses] : by_carrier)
    state = overlay(state, made_at(repository, carrier), addresses);
  return state;
}

}  // namespace

std::optional<State> read_again(const store::Repository& repository, const store::Oid& commit) {
  const auto backup = backup_from_commit(repository.info(commit));
  if (!backup || backup->reader == reader_version) return std::nullopt;
  try {
    return made_from_originals(repository, *backup);
  } catch (const Error&) {
    return std::nullopt;  // a layout that no longer reads: what was stored is all there is
  }
}

State state_despite(const Error& lost, const store::Repository& repository, const store::Oid& commit) {
  if (lost.kind() != ErrorKind::store) throw lost;
  const auto stored = repository.id_at(commit, "state");
  const auto backup = backup_from_commit(repository.info(commit));
  if (!backup || !stored) throw lost;
  std::optional<State> state;
  std::optional<std::string> carried;
  try {
    state = made_from_originals(repository, *backup);
    if (!backup->kept.empty()) carried = repository.read_at(commit, std::string(carried_path));
  } catch (const Error&) {
    throw lost;  // NOLINT(misc-throw-by-value-catch-by-reference): what is lost is the reason to report
  }
  constexpr std::size_t prefix = std::string_view("state/").size();
  const std::vector<StateFile> made = write_state(*state);
  std::vector<store::TreeFile> files;
  files.reserve(made.size() + 1);
  for (const StateFile& file : made) files.push_back({file.path.substr(prefix), file.content});
  if (carried) files.push_back({std::string(carried_path).substr(prefix), *carried});
  if (repository.folder_id(files) != *stored) {
    throw Error(ErrorKind::store,
                fmt::format("the stored state of backup {} is lost, and its originals do not give the same",
                            name_of(*backup)),
                "repair it from another clone or remote: keepway audit MACHINE --from CLONE");
  }
  repository.say_lost(fmt::format("the stored state of backup {} is lost in part; it was made again from the "
                                  "originals, and is the same by its id {}",
                                  name_of(*backup), *stored),
                      {name_of(*backup)});
  return std::move(*state);
}

}  // namespace keepway
