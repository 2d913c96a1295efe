#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/acts.hpp"
#include "keepway/trial.hpp"

namespace keepway::cli {
namespace {

// A mark that reads as something else could not be asked for, or would hide what it reads as.
void check_mark_name(const Machine& machine, const std::string& name) {
  const bool number = !name.empty() && name.find_first_not_of("0123456789") == std::string::npos;
  const auto lines = machine.repository().lines();
  const bool line = std::any_of(lines.begin(), lines.end(), [&](const store::Repository::Line& each) {
    return each.name == name || trial_of_line(each.name) == name;
  });
  if (!number && !line && name.find('#') == std::string::npos && !name.starts_with("kept ") &&
      !parse_time(name, true) && name != "HEAD")
    return;
  throw Error(
      ErrorKind::usage,
      fmt::format("'{}' cannot name a mark: it reads as a number, a date, a trial or a branch", escape(name)),
      "give it a name of its own, as in 'known good' or 'after ballscrew'");
}

store::Repository::Mark known_mark(const Machine& machine, const std::string& name) {
  if (auto found = machine.repository().find_mark(name)) return std::move(*found);
  std::vector<std::string> known;
  for (const auto& each : machine.repository().marks()) known.push_back("'" + escape(each.name) + "'");
  throw Error(ErrorKind::usage, fmt::format("{} has no mark '{}'", machine.facts().name, escape(name)),
              known.empty() ? "no backup is marked" : fmt::format("it has: {}", fmt::join(known, ", ")));
}

Done answer(const Machine& machine, const std::string& text, const std::string& name,
            const store::Oid& commit) {
  return {show::done(
      text,
      {{"command", "mark"}, {"machine", machine.facts().name}, {"mark", escape(name)}, {"commit", commit}})};
}

// A server's hook lets no mark be deleted.
constexpr const char* if_sent = "If it was synced before, the remote and the other PCs keep the old name.\n";

// What a mark would be believed to say, and the backup does not.
std::string doubts(const Machine& machine, const Backup& backup) {
  if (!backup.withdrawn && is_stood_by(backup)) return "";
  const auto good = machine.last_good();
  return fmt::format(
      "keepway: {} is {}, and a mark does not make it good\n  what to do: {}\n", name_of(backup),
      backup.withdrawn ? "withdrawn" : worth_name(backup.worth),
      good ? fmt::format("the last good one is {}; to mark that, remove this mark with --remove, "
                         "then give --at {}",
                         name_of(*good), good->number)
           : fmt::format("there is no good backup yet: read the reasons (keepway history {})",
                         machine.facts().name));
}

}  // namespace

Done mark(Machine& machine, const MarkWords& words, show::Style /*style*/) {
  store::Repository& repository = machine.repository();
  const std::string by = words.by.empty() ? who() : words.by;
  if (words.remove) {
    const auto old = known_mark(machine, words.name);
    repository.remove_mark(old);
    return answer(machine, fmt::format("The mark '{}' is removed. {}", escape(old.name), if_sent), old.name,
                  old.commit);
  }
  if (!words.rename.empty()) {
    check_mark_name(machine, words.rename);
    const auto old = known_mark(machine, words.name);
    repository.mark(words.rename, old.commit, by, now(), old);
    return answer(
        machine,
        fmt::format("The mark '{}' is '{}' now. {}", escape(old.name), escape(words.rename), if_sent),
        words.rename, old.commit);
  }
  check_mark_name(machine, words.name);
  const Backup backup = backup_at(machine, words.at);
  repository.mark(words.name, backup.commit, by, now());
  Done done = answer(machine,
                     fmt::format("Backup {} ({}) is marked '{}'.\n", name_of(backup), format_time(backup.at),
                                 escape(words.name)),
                     words.name, backup.commit);
  done.beside = doubts(machine, backup);
  return done;
}

void add_mark(Command app, Globals& globals) {
  struct Options : MarkWords {
    std::string machine;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "mark", "Name a backup, so that it can be asked for by that name",
                         "keepway mark mill-1 \"before ballscrew\" --at '#6'");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("NAME", options->name, "The name")->required();
  const Option at = made->add_option("--at,WHEN", options->at,
                                     "'#N', a date, a mark or a Git revision; by default the newest");
  at->filled()->type_name("WHEN");
  const Option rename = made->add_option("--rename", options->rename, "Give the mark NAME this name");
  rename->filled()->excludes(at)->type_name("NEW");
  made->add_flag("--remove", options->remove, "Take the mark NAME away")->excludes(at)->excludes(rename);
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    finish(globals, mark(machine, *options, style(globals)));
  });
}

}  // namespace keepway::cli
