#include "keepway/amend.hpp"

#include <type_traits>

#include "shop/amendments.hpp"
#include "shop/main_line.hpp"

namespace keepway {
namespace {

Backup say(Machine& machine, const Backup& backup, const Amendment& amendment) {
  store::Repository& repository = machine.repository();
  store::NewCommit commit = commit_for_amendment(amendment, backup);
  repository.add(main_line(repository), {}, {}, commit);
  return machine.as_amended(backup.commit);
}

}  // namespace

Backup withdraw(Machine& machine, const Backup& backup, const std::string& why, const Speaker& by) {
  Amendment word;
  word.backup = lasting_name(backup);
  word.withdraws = true;
  word.by = by.name;
  word.said = by.now;
  if (!backup.withdrawn) {
    if (why.find_first_not_of(" \t\r\n") == std::string::npos) {
      throw Error(ErrorKind::usage, "say why it is withdrawn", "give the reason with --why TEXT");
    }
    word.withdrawal = {why, by.name, by.now};
  }
  return say(machine, backup, word);
}

Backup correct(Machine& machine, const Backup& backup, const Correction& said, const Speaker& by) {
  if (!said.at && !said.who && !said.note) {
    throw Error(ErrorKind::usage, "say what to correct",
                "give the true date with --at, the name with --by or the note with --note");
  }
  Amendment word;
  word.backup = lasting_name(backup);
  word.by = by.name;
  word.said = by.now;
  const bool again = backup.as_stored && (!said.at || *said.at == backup.at) &&
                     (!said.who || *said.who == backup.who) && (!said.note || *said.note == backup.note);
  const auto& stored = backup.as_stored;
  // One word says all that holds: what an earlier one said of the rest is said again. What was said before is
  // taken back, and what is as it was stored need not be said.
  const auto holds = [&](const auto& now_said, const auto& reads, const auto& was) {
    using Value = std::decay_t<decltype(reads)>;
    std::optional<Value> value;
    if (now_said && again) return value;
    if (now_said) {
      value = *now_said;
    } else if (stored) {
      value = reads;
    }
    if (value && *value == was) value.reset();
    return value;
  };
  word.at = holds(said.at, backup.at, stored ? stored->at : backup.at);
  word.who = holds(said.who, backup.who, stored ? stored->who : backup.who);
  word.note = holds(said.note, backup.note, stored ? stored->note : backup.note);
  return say(machine, backup, word);
}

}  // namespace keepway
