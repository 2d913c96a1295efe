// States that a reader of another version made, read again from their originals.
//
// Motivation: a reader's normal form may change. Two states may only be compared when one reader made both,
// else an upgrade would show changes that the machine never had.
#include "shop/read_again.hpp"

#include <map>

#include "keepway/trial.hpp"
#include "shop/backup.hpp"
#include "shop/read_as.hpp"
#include "shop/stored_set.hpp"

namespace keepway {

bool made_by_this_reader(const store::CommitInfo& commit) {
  const auto backup = backup_from_commit(commit);
  return !backup || backup->reader == reader_version;
}

std::optional<State> read_again(const store::Repository& repository, const store::Oid& commit) {
  const auto backup = backup_from_commit(repository.info(commit));
  if (!backup || backup->reader == reader_version) return std::nullopt;
  const auto made = [&](const store::Oid& id) {
    return state_of(originals_at(repository, id), read_as(repository, id));
  };
  try {
    State state = made(commit);
    if (backup->kept.empty()) return state;
    std::map<store::Oid, std::vector<Address>> by_carrier;
    for (const Carried& each : carried_items(repository, commit)) {
      by_carrier[each.commit].push_back(each.address);
    }
    for (const auto& [carrier, addresses] : by_carrier) state = overlay(state, made(carrier), addresses);
    return state;
  } catch (const Error&) {
    return std::nullopt;  // a layout that no longer reads: what was stored is all there is
  }
}

}  // namespace keepway
