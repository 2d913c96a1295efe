#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/acts.hpp"
#include "cli/progress.hpp"
#include "cli/slot_machine.hpp"
#include "cli/target.hpp"
#include "keepway/restoring.hpp"

namespace keepway::cli {
namespace {

std::string reasons_of(const Backup& backup) {
  std::string reasons;
  for (const std::string& reason : backup.reasons) reasons += "\n  ! " + escape(reason);
  return reasons;
}

void refuse_withdrawn(const Machine& machine, const Backup& backup, const char* remedy) {
  const Withdrawal& word = *backup.withdrawn;
  throw Error(ErrorKind::refused,
              fmt::format("backup {} of {} was withdrawn by {} on {}, and nothing was written; why: {}",
                          name_of(backup), machine.facts().name, escape(word.by), format_time(word.when),
                          escape(word.why)),
              remedy);
}

void refuse_doubtful(const Machine& machine, const Backup& backup) {
  throw Error(ErrorKind::refused,
              fmt::format("backup {} of {} is {}, and nothing was written; why:{}", name_of(backup),
                          machine.facts().name, worth_name(backup.worth), reasons_of(backup)),
              "choose a good one (keepway history), or put this one back anyway with --accept");
}

// Single items go into the newest files: those are handed out, and judged, with them.
void refuse_doubtful_files(const Machine& machine, const Backup& known) {
  throw Error(
      ErrorKind::refused,
      fmt::format("single items go into the files of {}'s newest backup, {}, and that is {}; nothing "
                  "was written; why:{}",
                  machine.facts().name, name_of(known), worth_name(known.worth), reasons_of(known)),
      "take a good backup in first and ask again, put whole files back with --only GROUP, or use these "
      "anyway with --accept");
}

// Values of another machine, and those that belong to one machine alone, are right where they are and may be
// wrong here.
void refuse_values_of_one_machine(const Machine& machine, const RestoreJob& job) {
  std::vector<std::string> own;
  std::vector<std::string> others;
  for (const PlannedValue& value : job.plan.values) {
    const std::string address = escape(Address{value.change.group, value.change.key}.text());
    const auto entry = machine.namebook().find(value.change.group, value.change.key);
    const bool asked = std::any_of(job.asked.begin(), job.asked.end(), [&](const Address& each) {
      return covers(each, {value.change.group, value.change.key});
    });
    if (!asked) continue;
    if (entry && entry->own)
      own.push_back(address);
    else if (!job.from.empty())
      others.push_back(address);
  }
  if (own.empty() && others.empty()) return;
  std::string what;
  if (!own.empty()) {
    what = fmt::format("{} {} to one machine alone (machine-own in the namebook)", fmt::join(own, ", "),
                       own.size() == 1 ? "belongs" : "belong");
  }
  if (!others.empty()) {
    what += fmt::format("{}{} would come from {}, another machine", what.empty() ? "" : "; ",
                        fmt::join(others, ", "), job.from);
  }
  std::string caution;
  for (const std::string& each : loading_cautions()) caution += "\n  ! " + each;
  throw Error(ErrorKind::refused, what + "; nothing was written" + caution,
              "check each value against this machine's manual and its own sheets, look at the --plan, then "
              "add --accept");
}

// A program counts in the units of the machine that it was made on, where it does not say its own.
void refuse_programs_of_other_units(const Machine& machine, const RestoreRequest& request) {
  const Units theirs = request.from->facts().units;
  const Units ours = machine.facts().units;
  const auto program = std::find_if(request.only.begin(), request.only.end(),
                                    [](const Address& each) { return each.group == Group::programs; });
  if (program == request.only.end() || theirs == ours) return;
  throw Error(
      ErrorKind::refused,
      fmt::format("{} is in {}, {} in {}: {} may move to other places there; nothing was written",
                  request.from->facts().name, units_name(theirs), machine.facts().name, units_name(ours),
                  escape(program->text())),
      "make sure that the program says its units (such as G20 or G21) and that its offsets, tools and "
      "feeds fit this machine, then add --accept");
}

}  // namespace

RestoreJob restore_job(const Machine& machine, const RestoreWords& words, const Machine* other) {
  const Machine& source = other != nullptr ? *other : machine;
  const RestoreRequest request{source.resolve(words.at), addresses_option(machine, words.only), other, now(),
                               words.on_progress};
  const bool items = std::any_of(request.only.begin(), request.only.end(),
                                 [](const Address& each) { return !each.key.empty(); });
  if (other != nullptr && !items) {
    throw Error(ErrorKind::usage,
                "--from takes single items only: whole files of another machine are not for this one",
                "name them with --only ADDRESS; 'keepway twin' lists what differs");
  }
  if (request.at.withdrawn && !words.accept && !words.plan) {
    refuse_withdrawn(source, request.at,
                     "choose another (keepway history), or put this one back anyway with --accept");
  }
  if (!is_stood_by(request.at) && !words.accept && !words.plan) refuse_doubtful(source, request.at);
  RestoreJob job = prepare_restore(machine, request);
  if (words.accept || words.plan) return job;
  if (job.by_item && !is_stood_by(job.known)) refuse_doubtful_files(machine, job.known);
  if (job.by_item) refuse_values_of_one_machine(machine, job);
  if (other != nullptr) refuse_programs_of_other_units(machine, request);
  return job;
}

void add_restore(Command app, Globals& globals) {
  struct Options : RestoreWords {
    std::string machine;
    std::string from;
    TargetOptions target;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "restore", "Put a past state back: whole originals byte for byte, or single items",
              "keepway restore mill-1 --at '#6' --to /media/stick/RESTORE\n"
              "  keepway restore mill-1 --at 2026-03-01 --to out --only parameters\n"
              "  keepway restore mill-1 --at '#6' --only offsets/work/G54/X --plan");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("--at", options->at, "'#N', a date, a mark, a trial or a Git revision")
      ->required()
      ->filled()
      ->type_name("WHEN");
  add_target_options(made, options->target);
  made->add_option("--only", options->only,
                   "Only the files of a group; or, with an address, the newest originals with nothing but "
                   "that item changed")
      ->filled()
      ->type_name("GROUP|ADDRESS");
  made->add_option("--from", options->from,
                   "Take the items from another machine (WHEN is then one of its backups)")
      ->filled()
      ->type_name("MACHINE");
  made->add_flag("--plan", options->plan, "Print what it would do, and write nothing");
  made->add_flag(
      "--accept", options->accept,
      "Put back a doubtful or withdrawn backup, or values that belong to one machine, or to another");
  made->add_flag("--overwrite", options->target.overwrite,
                 "Write over a slot that holds another machine's files");
  made->callback([&globals, options] {
    const Shop shop = open_shop(globals);
    const Machine machine = shop.machine(options->machine);
    std::optional<Machine> other;
    if (!options->from.empty()) other = shop.machine(options->from);
    if (options->target.to.empty() && !options->plan) {
      throw Error(ErrorKind::usage, "no target is named",
                  "name a folder, image or archive with --to, or see what would be done with --plan");
    }
    options->on_progress = options->target.on_progress = Progress::report;
    options->target.machine = options->machine;
    options->target.holds = [&shop, &options](const media::Slot& slot) {
      const std::vector<Machine> machines = readable_machines(shop, shop.machines());
      SlotOwners owners(machines);
      return slot_owner_at(owners, options->target.to, slot);
    };
    const RestoreJob job = restore_job(machine, *options, other ? &*other : nullptr);
    Written written;
    if (!options->plan) {
      written = write_target(job, options->target);
      remember_composed(machine, job);
    }
    print(globals, show::restore(context(globals, machine),
                                 {job, written.title, written.paths, written.kept, set_digest(job.set),
                                  written.short_names, written.short_names_in}));
  });
}

}  // namespace keepway::cli
