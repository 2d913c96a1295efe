#include "keepway/trial.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/acts.hpp"

namespace keepway::cli {
namespace {

struct TrialOptions : TrialWords {
  std::string machine;
};
using SharedTrialOptions = std::shared_ptr<TrialOptions>;

TrialStep step_of(const TrialWords& options) {
  return {options.name, options.by.empty() ? who() : options.by, options.note, now()};
}

// "main", "trial", or "ADDRESS=main", "ADDRESS=trial".
std::vector<Preference> preferences_of(const Machine& machine, const std::vector<std::string>& texts) {
  std::vector<Preference> preferences;
  for (const std::string& text : texts) {
    const std::size_t equals = text.rfind('=');
    const std::string side = equals == std::string::npos ? text : text.substr(equals + 1);
    if (side != "main" && side != "trial") {
      throw Error(ErrorKind::usage, fmt::format("'{}' is not a side", escape(text)),
                  "write --prefer main, --prefer trial, or for one item --prefer ADDRESS=trial");
    }
    const bool ours = side == "main";
    if (equals != std::string::npos) {
      preferences.push_back({address_option(machine, text.substr(0, equals)), ours});
      continue;
    }
    for (const Group group : all_groups) preferences.push_back({{group, ""}, ours});
  }
  return preferences;
}

// A step that has happened, with a part of it still to do.
void tell_unfinished(const std::string& why, Done& done) {
  if (why.empty()) return;
  done.beside += fmt::format(
      "keepway: it is done, but the trial is not archived yet: {}\n"
      "  what to do: check the disk; the next command archives it\n",
      escape(why));
  done.exit = Exit::look;
}

// What is to be said of a merge that is kept though no restore set can be made of it.
std::string said_of_record(const Error& trouble) {
  return fmt::format(
      "keepway: it is kept only as a record: no restore set can be made of it; {}\n  what to do: {}\n",
      trouble.what(), trouble.remedy());
}

void require_as_seen(const Keep& keep, const TrialWords& words) {
  if (words.onto.empty() || (words.onto == keep.onto && words.tip == keep.tip)) return;
  throw Error(ErrorKind::refused,
              fmt::format("main or trial {} has changed since it was shown; nothing was merged", words.name),
              "look at what it would change once more");
}

Command part(Command trial, const std::string& name, const std::string& purpose, const std::string& example,
             const SharedTrialOptions& options, bool named) {
  Command made = command(trial, name, purpose, example);
  if (named) made->add_option("NAME", options->name, "The trial")->required();
  return made;
}

// What the command does: opens the machine, acts, and answers.
void answers(Command made, Globals& globals, const SharedTrialOptions& options,
             Done (*act)(Machine&, const TrialWords&, show::Style)) {
  made->callback([&globals, options, act] {
    Machine machine = open_shop(globals).machine(options->machine);
    finish(globals, act(machine, *options, style(globals)));
  });
}

void add_begin(Command trial, Globals& globals, const SharedTrialOptions& options) {
  Command made = part(trial, "begin", "Begin a trial: from now on intakes go to it",
                      "keepway trial mill-1 begin warm-up --note \"new spindle warm-up\"", options, true);
  made->add_option("--at", options->at, "Backup to begin from; by default the newest")
      ->filled()
      ->type_name("WHEN");
  made->add_option("--note", options->note, "What is tried")->type_name("TEXT");
  made->add_option("--by", options->by, "Who begins it; else the user's name")->type_name("NAME");
  answers(made, globals, options, trial_begin);
}

void add_keep(Command trial, Globals& globals, const SharedTrialOptions& options) {
  Command made =
      part(trial, "keep", "Keep a trial: merge its items into main, one by one",
           "keepway trial mill-1 keep warm-up --only settings --prefer settings/12=trial", options, true);
  made->add_option("--only", options->only, "Only what is at or below these addresses")
      ->filled()
      ->type_name("ADDRESS");
  made->add_option("--prefer", options->prefer,
                   "Which side to take where both changed an item: main or trial, for all or ADDRESS=side")
      ->filled()
      ->type_name("[ADDRESS=]main|trial");
  made->add_flag("--accept", options->accept, "Keep it as a record even if it could not be put back");
  made->add_option("--note", options->note, "Why")->type_name("TEXT");
  made->add_option("--by", options->by, "Who keeps it; else the user's name")->type_name("NAME");
  answers(made, globals, options, trial_keep);
}

}  // namespace

Done trial_begin(Machine& machine, const TrialWords& words, show::Style /*style*/) {
  const Backup from = backup_at(machine, words.at);
  const Trial begun = begin_trial(machine, from, step_of(words));
  return {show::done(
      fmt::format("Trial {} is begun from {} ({}). Intakes of {} go to it until it "
                  "is kept, dropped or paused.\n",
                  begun.name, name_of(begun.base), format_time(begun.base.at), machine.facts().name),
      {{"command", "trial"}, {"trial", begun.name}, {"state", "in progress"}, {"base", begun.base.commit}})};
}

Done trial_list(const Machine& machine, show::Style style) {
  return {
      show::trial_list({machine.facts(), machine.namebook(), style}, trials(machine), ended_trials(machine))};
}

Done trial_changes(const Machine& machine, const TrialWords& words, show::Style style) {
  const Trial found = find_trial(machine, words.name);
  const Backup& to = found.newest ? *found.newest : found.base;
  Changes difference = machine.changes(found.base.commit, to.commit);
  // Of all changes: a line whose value main has by now is not merely spelled otherwise.
  const show::Spelling spelling{machine.spelling(found.base, to, difference)};
  leave_out_what_main_has(machine, found, difference);
  return {show::changes(context(machine, style), found.base, to, difference,
                        read_the_same_way(machine, found.base, to), spelling),
          difference.empty() && found.base.digest == to.digest ? Exit::done : Exit::look};
}

Done trial_pause(Machine& machine, const TrialWords& words, show::Style /*style*/) {
  pause_trial(machine, words.name);
  return {show::done(
      fmt::format("Trial {} is paused; intakes of {} go to main.\n", words.name, machine.facts().name),
      {{"command", "trial"}, {"trial", words.name}, {"state", "paused"}})};
}

Done trial_resume(Machine& machine, const TrialWords& words, show::Style /*style*/) {
  resume_trial(machine, words.name);
  return {show::done(fmt::format("Intakes of {} go to trial {} again.\n", machine.facts().name, words.name),
                     {{"command", "trial"}, {"trial", words.name}, {"state", "in progress"}})};
}

Keep trial_plan(const Machine& machine, const TrialWords& words) {
  return plan_keep(machine, find_trial(machine, words.name), addresses_option(machine, words.only),
                   preferences_of(machine, words.prefer));
}

Done trial_keep(Machine& machine, const TrialWords& words, show::Style style) {
  Keep keep = trial_plan(machine, words);
  require_as_seen(keep, words);
  const auto trouble = require_keepable(machine, keep, words.accept);
  Done done;
  if (trouble) done.beside = said_of_record(*trouble);
  if (keep.merge.clean()) {
    do_keep(machine, keep, step_of(words));
    tell_unfinished(keep.unfinished, done);
  } else {
    done.beside =
        "keepway: the trial and main changed the same items, and nothing was merged\n"
        "  what to do: say which side to take, with --prefer\n";
    done.exit = Exit::refused;
  }
  if (!keep.missing.empty() || keep.record_only) done.exit = std::max(done.exit, Exit::look);
  done.answer = show::trial_keep(context(machine, style), keep);
  return done;
}

Done trial_drop(Machine& machine, const TrialWords& words, show::Style /*style*/) {
  const Trial found = find_trial(machine, words.name);
  const auto [ref, unfinished] = drop_trial(machine, found, step_of(words));
  const std::string back =
      fmt::format("keepway restore {} --at '{}' --to DIR", machine.facts().name, name_of(found.base));
  Done done{show::done(fmt::format("Trial {0} is dropped; its backups stay: keepway trial {5} list\n"
                                   "To take the machine back to where it began, {2} ({3}):\n  {4}\n",
                                   found.name, ref, name_of(found.base), format_time(found.base.at), back,
                                   machine.facts().name),
                       {{"command", "trial"},
                        {"trial", found.name},
                        {"state", "dropped"},
                        {"archive", ref},
                        {"restore", back}})};
  tell_unfinished(unfinished, done);
  return done;
}

void add_trial(Command app, Globals& globals) {
  auto options = std::make_shared<TrialOptions>();
  Command made = command(app, "trial", "Branch a machine's state before an experiment; keep or drop it after",
                         "keepway trial mill-1 begin warm-up\n  keepway trial mill-1 keep warm-up");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->require_subcommand(1);
  add_begin(made, globals, options);
  part(made, "list", "List the trials", "keepway trial mill-1 list", options, false)
      ->callback([&globals, options] {
        const Machine machine = open_shop(globals).machine(options->machine);
        finish(globals, trial_list(machine, style(globals)));
      });
  answers(part(made, "changes", "Explain what the trial changed since it began",
               "keepway trial mill-1 changes warm-up", options, true),
          globals, options, [](Machine& machine, const TrialWords& words, show::Style style) {
            return trial_changes(machine, words, style);
          });
  answers(part(made, "pause", "Pause a trial: intakes go to main again", "keepway trial mill-1 pause warm-up",
               options, true),
          globals, options, trial_pause);
  answers(
      part(made, "resume", "Go on with a paused trial", "keepway trial mill-1 resume warm-up", options, true),
      globals, options, trial_resume);
  add_keep(made, globals, options);
  answers(part(made, "drop", "Drop a trial: archive it, and show how to take the machine back",
               "keepway trial mill-1 drop warm-up", options, true),
          globals, options, trial_drop);
}

}  // namespace keepway::cli
