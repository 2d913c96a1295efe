#include "keepway/amend.hpp"

#include <fmt/format.h>

#include <utility>

#include "shop/amendments.hpp"
#include "shop/backup_commit.hpp"
#include "shop/main_line.hpp"

namespace keepway {
namespace {

Backup say(Machine& machine, const Backup& backup, const Amendment& amendment) {
  store::Repository& repository = machine.repository();
  store::NewCommit commit = commit_for_amendment(amendment, backup);
  repository.add(main_line(repository), {}, {}, commit);
  return machine.as_amended(backup.commit);
}

Amendment word_on(const Backup& backup, const Speaker& by) {
  Amendment word;
  word.backup = lasting_name(backup);
  word.by = by.name;
  word.said = by.now;
  return word;
}

}  // namespace

Backup withdraw(Machine& machine, const Backup& backup, const std::string& why, const Speaker& by) {
  if (why.find_first_not_of(" \t\r\n") == std::string::npos) {
    if (!backup.withdrawn)
      throw Error(ErrorKind::usage, "say why it is withdrawn", "give the reason with --why TEXT");
    throw Error(ErrorKind::usage, fmt::format("backup {} is withdrawn already", name_of(backup)),
                "to use it again, give --undo; to say another reason, --why TEXT");
  }
  if (backup.withdrawn && backup.withdrawn->why == why) return backup;
  Amendment word = word_on(backup, by);
  word.withdraws = true;
  word.withdrawal = {why, by.name, by.now};
  return say(machine, backup, word);
}

std::vector<Backup> judged_against(const Machine& machine, const Backup& backup) {
  constexpr std::size_t most = 20;
  std::vector<Backup> later;  // the last stored first
  bool reached = false;
  const store::Repository& repository = machine.repository();
  if (const auto tip = main_tip(repository)) {
    repository.walk(*tip, [&](const store::CommitInfo& info) {
      reached = info.id == backup.commit;
      if (reached) return false;
      if (auto each = backup_from_commit(info)) later.push_back(std::move(*each));
      return true;
    });
  }
  std::vector<Backup> found;
  if (!reached) return found;
  machine.amend(later);
  const Backup* next = nullptr;  // what those of later dates were judged against
  for (auto each = later.rbegin(); each != later.rend() && found.size() < most; ++each) {
    if (!counts_on_main(*each) || !is_newer(*each, backup) || (next != nullptr && is_newer(*each, *next)))
      continue;
    found.push_back(*each);
    if (is_stood_by(*each) || !is_stood_by(backup)) next = &*each;  // a doubtful one is a baseline to none
  }
  return found;
}

Backup use_again(Machine& machine, const Backup& backup, const Speaker& by) {
  if (!backup.withdrawn) return backup;
  Amendment word = word_on(backup, by);
  word.withdraws = true;
  return say(machine, backup, word);
}

Backup correct(Machine& machine, const Backup& backup, const Correction& said, const Speaker& by) {
  if (!said.at && !said.who && !said.note) {
    throw Error(ErrorKind::usage, "say what to correct",
                "give the true date with --at, the name with --by or the note with --note");
  }
  constexpr std::int64_t day = 86'400;
  if (said.at && *said.at > by.now + day) {
    throw Error(ErrorKind::usage, fmt::format("{} is in the future", format_time(*said.at)),
                "give the date on which the backup was made");
  }
  if ((!said.at || *said.at == backup.at) && (!said.who || *said.who == backup.who) &&
      (!said.note || *said.note == backup.note))
    return backup;
  Amendment word = word_on(backup, by);
  const auto& stored = backup.as_stored;
  // One word says all that holds: what an earlier one said of the rest is said again. What is as it was
  // stored need not be said.
  const auto holds = [](const auto& now_said, const auto& reads, const auto& was) {
    const auto& value = now_said ? *now_said : reads;
    return value == was ? std::nullopt : std::optional(value);
  };
  word.at = holds(said.at, backup.at, stored ? stored->at : backup.at);
  word.who = holds(said.who, backup.who, stored ? stored->who : backup.who);
  word.note = holds(said.note, backup.note, stored ? stored->note : backup.note);
  return say(machine, backup, word);
}

Backup uncorrect(Machine& machine, const Backup& backup, const Speaker& by) {
  return backup.as_stored ? say(machine, backup, word_on(backup, by)) : backup;
}

}  // namespace keepway
