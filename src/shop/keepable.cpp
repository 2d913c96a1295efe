// What of a trial is refused to be kept, and what of that a person may keep all the same.
#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "keepway/trial.hpp"

namespace keepway {
namespace {

void require_memory(const Backup& newest) {
  const bool lost = std::any_of(newest.reasons.begin(), newest.reasons.end(),
                                [](const std::string& reason) { return reason.starts_with("memory-lost:"); });
  if (!lost || is_stood_by(newest)) return;
  throw Error(
      ErrorKind::refused,
      fmt::format("{} is doubtful: {}; nothing was merged", name_of(newest), escape(newest.reasons.front())),
      "put the machine right and back it up again on the trial; if all of it is meant, add --accept");
}

}  // namespace

std::optional<Error> require_keepable(const Machine& machine, Keep& keep, bool accept) {
  if (!accept) require_memory(*keep.trial.newest);
  if (!keep.merge.clean()) return std::nullopt;
  if (keep.carried.empty() && !keep.rest.empty()) {
    throw Error(
        ErrorKind::refused,
        fmt::format("trial {} has nothing of what --only names that main does not have; nothing was merged",
                    keep.trial.name),
        fmt::format("see what it has: keepway trial {} changes {}", machine.facts().name, keep.trial.name));
  }
  auto trouble = cannot_be_restored(machine, keep);
  keep.record_only = trouble && accept;
  if (!trouble || accept) return trouble;
  throw Error(
      ErrorKind::refused,
      fmt::format("no restore set can be made of what would be kept, and nothing was merged; {}",
                  trouble->what()),
      "keep what can be with --only ADDRESS; take a backup of the machine as it should be in on main; "
      "or keep it as a record with --accept",
      trouble->place());
}

}  // namespace keepway
