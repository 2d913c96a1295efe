// inspect, intake and confirm: the same reading and verdict, without storing, with it, and against what was
// meant.
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <memory>

#include "cli/acts.hpp"
#include "cli/progress.hpp"
#include "cli/terminal.hpp"
#include "keepway/pile.hpp"
#include "keepway/restoring.hpp"
#include "keepway/trial.hpp"

namespace keepway::cli {
namespace {

// Of a command: what it is about, beside the words of the act.
template <class Words>
struct Flags : Words {
  std::string machine;
  std::string path;
};
using IntakeFlags = Flags<IntakeWords>;
using ConfirmFlags = Flags<ConfirmWords>;

Exit exit_of(const Verdict& verdict) {
  return verdict.worth == Worth::good && verdict.cautions.empty() ? Exit::done : Exit::look;
}

// So that nothing is left out in silence.
std::string litter_text(const std::vector<std::string>& litter) {
  if (litter.empty()) return "";
  constexpr std::size_t most = 4;
  std::string names;
  for (std::size_t i = 0; i < std::min(most, litter.size()); ++i)
    names += (i == 0 ? "" : ", ") + escape(litter[i]);
  if (litter.size() > most) names += fmt::format(" and {} more", litter.size() - most);
  return fmt::format("keepway: left out, because a PC wrote it and not the control: {}\n", names);
}

// A backup is dated by its files; what its name says besides is not passed over in silence. The name is that
// of the folder or file and of the folder above it, as for a year's folder with days in it.
std::string other_date_text(const std::string& path, const std::optional<std::int64_t>& newest) {
  std::filesystem::path clean = std::filesystem::absolute(path).lexically_normal();
  if (!clean.has_filename()) clean = clean.parent_path();
  const auto date = date_in_name((clean.parent_path().filename() / clean.filename()).string());
  constexpr std::size_t day_digits = 10;
  if (!newest || !date || date->weak || !is_of_another_time(*date, *newest)) return "";
  return fmt::format(
      "the name says {}, and the newest file is of {}: dated by the file; where that is the day of a copy, "
      "give the true date",
      readings_text(*date), format_time(*newest).substr(0, day_digits));
}

// For a command: what is remarkable about the medium is printed even where an error follows.
template <class Words>
media::Set received_with_remarks(Flags<Words>& options) {
  options.intake.on_progress = Progress::report;
  media::Set set = received(options.path, options);
  std::string remarks = options.left_out;
  if (!options.other_date.empty()) remarks += fmt::format("keepway: {} with --at\n", options.other_date);
  if (!remarks.empty()) {
    Progress::stop();
    put(stderr, remarks);
  }
  return set;
}

struct Inspected {
  Machine machine;
  Inspection inspection;
};

Inspected inspect(const Globals& globals, IntakeFlags& options) {
  Machine machine = open_shop(globals).machine(options.machine);
  Inspection inspection = machine.inspect(received_with_remarks(options), options.intake);
  return {std::move(machine), std::move(inspection)};
}

template <class Words>
void add_common(Command made, Flags<Words>& options) {
  made.add_option("MACHINE", options.machine, "The machine that the backup came off")->required();
  made.add_option("PATH", options.path,
                  "The backup: a folder, a file, a floppy image, a stick, an archive (zip, tar, 7z)")
      ->required()
      ->filled();
  made.add_option("--at", options.at, "Time of the backup: RFC 3339 or a date; else the newest file's")
      ->filled()
      ->type_name("TIME");
  made.add_option("--slot", options.slot,
                  "Slot of a stick with many floppy-sized volumes ('keepway slots PATH' lists them)")
      ->between(1, 100000)
      ->type_name("N");
  made.add_flag("--recover", options.recover, "Also read deleted files, where their clusters are still free");
  made.add_option("--recovered-as", options.recovered_as,
                  "The name that a recovered file had, where its first letter is lost (_ANE.TXT=LANE.TXT)")
      ->filled()
      ->type_name("OLD=NEW");
}

void add_storing(Command made, IntakeWords& options) {
  made.add_option("--by", options.intake.by, "Who took the backup; else the user's name")->type_name("NAME");
  made.add_option("--note", options.intake.note, "Why, in one line")->type_name("TEXT");
  made.add_flag("--accept", options.intake.accept,
                "Store a backup that is refused; accept the reasons of one that is doubtful");
}

constexpr const char* refused_text =
    "keepway: this backup is refused, and nothing was stored\n"
    "  what to do: read the reasons; if you are sure that it is right, take it in with --accept\n";

bool may_store(const Inspection& inspection, const IntakeWords& words) {
  return inspection.verdict.worth != Worth::refused || words.intake.accept;
}

// A restore dates each file as the backup that it puts back, or by when it was put together, to the second,
// or to two on a floppy; a machine dates what it writes by its own clock.
std::optional<Error> is_what_restore_wrote(const Machine& machine, const Inspection& inspection,
                                           const Backup& against) {
  constexpr std::int64_t minute = 60;
  std::vector<std::int64_t> dates = composed_dates(machine);
  dates.push_back(against.at);
  if (const auto newest = machine.shown()) dates.push_back(newest->at);  // of files that stayed as they were
  if (now() - against.at < minute || !are_dated(inspection.set, dates)) return std::nullopt;
  return Error(ErrorKind::refused,
               "each file is as 'restore' wrote it, with the date that it gave: this proves what the medium "
               "holds, not what the machine holds; nothing was stored",
               "load the files at the machine, back the machine up again onto an empty medium, and confirm "
               "that backup; if this is that backup, of a control without a clock, add --accept");
}

// What came off the machine before its newest backup says nothing of a restore, which is made of that one and
// put back after it.
std::optional<Error> is_from_before(const Machine& machine, const Inspection& inspection) {
  const std::optional<Backup> newest = machine.shown();
  if (!newest || inspection.at >= counts_from(*newest)) return std::nullopt;
  return Error(
      ErrorKind::refused,
      fmt::format("this backup is of {}, before {} of {}: it was made before the restore, so it proves "
                  "nothing of it; nothing was stored",
                  format_time(inspection.at), name_of(*newest), format_time(counts_from(*newest))),
      "back the machine up again, now, and confirm that backup; if this is that backup, and the control has "
      "no clock or a wrong one, give the true time with --at");
}

// The backup that is stored already as what this confirmation would store.
std::optional<Backup> confirmed_already(const Machine& machine, const Inspection& inspection,
                                        const Backup& against, bool full_match) {
  auto there = machine.stored_already(inspection);
  if (!there || there->confirms != against.commit || there->confirmed != full_match) return std::nullopt;
  return there;
}

}  // namespace

media::Set received(const std::string& path, IntakeWords& words) {
  if (!words.at.empty()) words.intake.at = time_option(words.at);
  words.intake.now = now();
  media::ReadOptions read;
  if (words.slot != 0) read.slot = words.slot;
  read.recover = words.recover;
  read.on_progress = words.intake.on_progress;
  media::Set set = media::read(path, read);
  for (const std::string& pair : words.recovered_as) {
    const std::size_t equals = pair.find('=');
    if (equals == std::string::npos) {
      throw Error(ErrorKind::usage, fmt::format("'{}' is not OLD=NEW", escape(pair)),
                  "write the name that is shown and the name that it had: --recovered-as _ANE.TXT=LANE.TXT");
    }
    media::name_recovered(set, pair.substr(0, equals), pair.substr(equals + 1));
  }
  words.left_out = litter_text(set.litter);
  if (words.at.empty()) words.other_date = other_date_text(path, set.newest());
  return set;
}

Done inspected(const show::Context& shown, const Inspection& inspection) {
  return {show::inspection(shown, inspection, nullptr, ""),
          inspection.verdict.worth == Worth::refused ? Exit::refused : exit_of(inspection.verdict)};
}

Done take_in(Machine& machine, const Inspection& inspection, const IntakeWords& words, show::Style style) {
  const show::Context shown = context(machine, style);
  const auto there = words.again ? std::nullopt : machine.stored_already(inspection);
  if (there && (is_stood_by(*there) || !words.intake.accept))
    return {show::stored_already(shown, *there), is_stood_by(*there) ? Exit::done : Exit::look};
  if (!may_store(inspection, words))
    return {show::inspection(shown, inspection, nullptr, ""), Exit::refused, refused_text};
  const Backup stored = machine.intake(inspection, words.intake);
  Done done{show::inspection(shown, inspection, &stored, line_title(machine.repository().line())),
            exit_of(inspection.verdict)};
  if (const std::string& trouble = machine.repository().work_tree_trouble(); !trouble.empty()) {
    done.beside =
        fmt::format("keepway: the backup is stored; its copy in the machine's folder is incomplete: {}\n",
                    escape(trouble));
  }
  return done;
}

Done confirm_restore(Machine& machine, const Inspection& inspection, const ConfirmWords& words,
                     show::Style style) {
  const Backup against = machine.resolve(words.against);
  State meant = state_as_read_today(machine, against);
  if (!words.only.empty())
    meant = overlay(state_as_read_today(machine, newest_known(machine)), meant,
                    addresses_option(machine, words.only));
  const Confirmation confirmation = confirm(meant, inspection.reading.state, machine.namebook());
  const auto already = confirmed_already(machine, inspection, against, confirmation.full_match);
  std::optional<Error> no_proof;
  if (!already && !words.intake.accept) {
    if (confirmation.full_match) no_proof = is_what_restore_wrote(machine, inspection, against);
    if (!no_proof) no_proof = is_from_before(machine, inspection);
  }
  if (no_proof && !words.look) throw Error(*no_proof);
  const bool may = may_store(inspection, words);
  std::optional<Backup> stored;
  if (may && !words.look && !already) {
    IntakeOptions intake = words.intake;
    intake.confirms = against.commit;
    intake.confirmed = confirmation.full_match;
    stored = machine.intake(inspection, intake);
  }
  Done done{show::confirmed({machine.facts(), machine.namebook(), style}, against, confirmation, inspection,
                            {stored ? &*stored : nullptr, already ? &*already : nullptr}),
            confirmation.full_match ? Exit::done : Exit::look};
  if (!may || no_proof) {
    done.exit = Exit::refused;
    done.beside = no_proof ? error_text(*no_proof) : refused_text;
    done.refused = no_proof;
  }
  return done;
}

void add_inspect(Command app, Globals& globals) {
  auto options = std::make_shared<IntakeFlags>();
  Command made = command(app, "inspect", "Say what a backup is worth, without storing it",
                         "keepway inspect mill-1 /media/stick/MILL1");
  add_common(made, *options);
  made->callback([&globals, options] {
    const auto [machine, inspection] = inspect(globals, *options);
    finish(globals, inspected(context(globals, machine), inspection));
  });
}

void add_intake(Command app, Globals& globals) {
  auto options = std::make_shared<IntakeFlags>();
  Command made =
      command(app, "intake", "Take a backup in: judge it and store it",
              "keepway intake mill-1 /media/stick/MILL1 --by Ana --note \"before the ballscrew swap\"");
  add_common(made, *options);
  add_storing(made, *options);
  made->add_flag("--again", options->again, "Store it although the same files of the same time are stored");
  made->callback([&globals, options] {
    if (options->intake.by.empty()) options->intake.by = who();
    auto [machine, inspection] = inspect(globals, *options);
    finish(globals, take_in(machine, inspection, *options, style(globals)));
  });
}

void add_confirm(Command app, Globals& globals) {
  auto options = std::make_shared<ConfirmFlags>();
  Command made =
      command(app, "confirm", "After a restore: check with a fresh backup that the machine took it",
              "keepway confirm mill-1 /media/stick/MILL1 --against 'known good'");
  add_common(made, *options);
  add_storing(made, *options);
  made->add_option("--against", options->against,
                   "What the machine should hold: '#N', a date, a mark, a trial or a Git revision")
      ->required()
      ->filled()
      ->type_name("WHEN");
  made->add_option("--only", options->only,
                   "The restore was of these items only: the rest should be as in the newest backup")
      ->filled()
      ->type_name("ADDRESS");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    if (options->intake.by.empty()) options->intake.by = who();
    const Inspection inspection = machine.inspect(received_with_remarks(*options), options->intake);
    finish(globals, confirm_restore(machine, inspection, *options, style(globals)));
  });
}

}  // namespace keepway::cli
