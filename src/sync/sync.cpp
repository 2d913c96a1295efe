// What sync needs to know of machines: how a backup laid anew is numbered and summed up, and its state read
// again where the line's layout is another.
#include "keepway/sync.hpp"

#include <fmt/format.h>

#include "keepway/trial.hpp"
#include "shop/backup.hpp"
#include "shop/read_as.hpp"
#include "shop/stored_set.hpp"
#include "sync/refs_sync.hpp"

namespace keepway {
namespace {

State state_at(const store::Repository& repository, const store::Oid& commit) {
  std::vector<StateFile> files;
  for (const store::Blob& blob : repository.list(commit, "state/")) {
    files.push_back({blob.path, repository.read(blob.id)});
  }
  return read_state(std::move(files));
}

store::NewCommit message_for(const store::Repository& repository, const store::CommitInfo& old,
                             const store::Oid& onto) {
  Backup backup = *backup_from_commit(old);
  std::optional<Backup> last;
  repository.walk(onto, [&](const store::CommitInfo& info) {
    last = backup_from_commit(info);
    return !last;
  });
  backup.number = last ? last->number + 1 : 1;
  if (backup.kept.empty()) {
    backup.gist = !last ? "first backup"
                  : last->kept.empty() && last->digest == backup.digest
                      ? fmt::format("the same files as backup {}", last->number)
                      : gist(compare(state_at(repository, last->commit), state_at(repository, old.id)));
  }
  return commit_for_backup(backup);
}

std::vector<store::PathText> state_for(const std::string& layout, const std::string& machine,
                                       const std::vector<store::PathText>& originals) {
  const media::Set set = stored_set(
      originals, [](const store::PathText& file) { return file.first; },
      [](const store::PathText& file) { return file.second; });
  std::vector<store::PathText> out;
  for (StateFile& file : write_state(state_of(set, read_as(layout, machine)))) {
    out.emplace_back(std::move(file.path), std::move(file.content));
  }
  return out;
}

}  // namespace

SyncAnswer sync(const std::filesystem::path& folder, const SyncOptions& options) {
  store::LineRules rules;
  std::optional<store::Repository> repository;  // opened when the first backup is laid anew
  if (std::filesystem::exists(folder / "machine.toml")) {
    auto here = store::Repository::open(folder);
    if (const auto trouble = finish_steps(here)) throw Error(*trouble);
  }
  rules.message = [&](const store::CommitInfo& old, const store::Oid& onto) {
    if (!repository) repository = store::Repository::open(folder);
    return message_for(*repository, old, onto);
  };
  rules.state = state_for;
  return store::sync_repository(folder, options, rules);
}

}  // namespace keepway
