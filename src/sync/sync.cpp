// What sync needs to know of machines: how a backup rebased is numbered and summed up, and its state read
// again where the line's layout is another.
#include "keepway/sync.hpp"

#include <fmt/format.h>

#include "git_hooks/incoming_check.hpp"
#include "keepway/trial.hpp"
#include "shop/backup_commit.hpp"
#include "shop/read_again.hpp"
#include "shop/read_as.hpp"
#include "shop/stored_set.hpp"
#include "sync/exchange.hpp"
#include "sync/repair_rewritten.hpp"

namespace keepway {
namespace {

State state_at(const store::Repository& repository, const store::Oid& commit) {
  if (auto again = read_again(repository, commit)) return std::move(*again);
  std::vector<StateFile> files;
  for (const store::Blob& blob : repository.list(commit, "state/")) {
    files.push_back({blob.path, repository.read(blob.id)});
  }
  return read_state(std::move(files));
}

// Of two that are not the same files.
std::string gist_between(const store::Repository& repository, const store::Oid& from, const store::Oid& to) {
  const Changes changes = compare(state_at(repository, from), state_at(repository, to));
  return changes.empty() ? "the values that are read are the same, and bytes of the files differ"
                         : gist(changes);
}

store::NewCommit message_for(const store::Repository& repository, const store::CommitInfo& old,
                             const store::Oid& onto) {
  Backup backup = *backup_from_commit(old);
  std::optional<Backup> last;
  repository.walk(onto, [&](const store::CommitInfo& info) {
    last = backup_from_commit(info);
    return !last;
  });
  if (backup.number > 0) backup.number = next_number(repository, onto, "");
  if (backup.kept.empty()) {
    backup.gist = !last ? "first backup"
                  : last->kept.empty() && last->digest == backup.digest
                      ? same_files_as(*last)
                      : gist_between(repository, last->commit, old.id);
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

std::vector<std::string> faults_of(git_repository& repo, const std::vector<store::Oid>& commits,
                                   const std::function<void(std::size_t, std::size_t)>& tick) {
  std::vector<std::string> out;
  for (const Fault& fault : check_commits(store::RepositoryView::onto(repo), commits, tick)) {
    const std::string place = fault.place.text();
    out.push_back(fmt::format("{}{}{}", place, place.empty() ? "" : ": ", fault.what));
  }
  return out;
}

store::LineRules rules_for(const std::filesystem::path& folder) {
  store::LineRules rules;
  // Opened when the first backup is rebased.
  const auto repository = std::make_shared<std::optional<store::Repository>>();
  rules.message = [folder, repository](const store::CommitInfo& old, const store::Oid& onto) {
    if (!*repository) *repository = store::Repository::open(folder);
    return message_for(**repository, old, onto);
  };
  rules.state = state_for;
  rules.faults = faults_of;
  return rules;
}

Machine::Edits record_edits(const std::filesystem::path& folder, const SyncOptions& options) {
  if (options.now == 0) return {};
  Machine machine = Machine::open(folder);
  machine.repository().require_settled();
  return machine.record_edits(options.by, options.now);
}

}  // namespace

SyncAnswer sync(const std::filesystem::path& folder, const SyncOptions& options) {
  Machine::Edits edits;
  if (std::filesystem::exists(folder / "machine.toml")) {
    auto here = store::Repository::open(folder);
    if (const auto trouble = finish_steps(here)) throw Error(*trouble);
    edits = record_edits(folder, options);
  }
  SyncAnswer answer = store::sync_repository(folder, options, rules_for(folder));
  answer.recorded = std::move(edits.recorded);
  for (const std::string& path : edits.left) {
    answer.attention.push_back(
        fmt::format("{} was edited here, and main has it otherwise than the trial: the edit is not sent, and "
                    "the trial's next intake stores it",
                    path));
  }
  answer.clashes = open_clashes(store::Repository::open(folder));
  return answer;
}

InOrder put_in_order(const std::filesystem::path& folder) {
  return store::put_line_in_order(folder, rules_for(folder));
}

}  // namespace keepway
