#include <fmt/format.h>

#include <memory>

#include "cli/acts.hpp"
#include "cli/hooks.hpp"
#include "cli/progress.hpp"
#include "cli/terminal.hpp"

namespace keepway::cli {
namespace {

struct EnrollOptions {
  Shop::Enrollment enrollment;
  std::string units;
  std::string from;
  std::size_t slot = 0;  // 0: none given
  bool accept = false;
};

// Two makers may give one serial number; one machine enrolled twice has its history in two places. `others`:
// as they were before this one was enrolled.
std::string same_serial_text(const std::vector<std::string>& others, const MachineFacts& made) {
  if (others.empty()) return "";
  return fmt::format(
      "keepway: {0} has the serial {1}, too: if it is the same machine, remove the new folder {2}, "
      "which holds no backup yet, and take its backups in as {3}\n",
      fmt::join(others, ", "), escape(made.serial), made.name, others.front());
}

Machine enrolled(Shop shop, const Shop::Enrollment& enrollment) {
  return shop.enroll(enrollment, [](const std::filesystem::path& path) { put_hooks(path, false); });
}

void enroll_by_layout(Globals& globals, const EnrollOptions& options) {
  const Shop shop = open_shop(globals);
  const auto others = shop.with_serial(options.enrollment.serial);
  const Machine machine = enrolled(shop, options.enrollment);
  const MachineFacts& facts = machine.facts();
  const std::string folder = machine.repository().folder().string();
  finish(globals,
         {show::done(
              fmt::format("Enrolled {} ({}), units {}.\n"
                          "Its layout and its namebook are {}/layout.toml and namebook.tsv: yours to edit.\n"
                          "Next: keepway inspect {} PATH\n",
                          facts.name, escape(facts.title), units_name(facts.units), folder, facts.name),
              {{"command", "enroll"},
               {"machine", facts.name},
               {"units", std::string(units_name(facts.units))},
               {"folder", folder}}),
          Exit::done, same_serial_text(others, facts)});
}

// A layout proposed from a drawer would be of all its backups at once.
void refuse_many(const Proposal& proposal, const std::string& machine) {
  if (proposal.backups.empty()) return;
  throw Error(
      ErrorKind::refused, look_like_backups(proposal.backups) + "; nothing was enrolled",
      fmt::format("enroll from one of them, and take all in with 'keepway pile {} FOLDER'; if this is "
                  "one backup all the same, add --accept",
                  machine));
}

}  // namespace

std::string other_serial_text(const Survey& survey) {
  if (survey.other_serial.empty()) return "";
  return fmt::format(
      "keepway: {} names the serial {}, and {} was given: keepway refuses backups that say {} as another "
      "machine's; if these files are this machine's, give that serial\n",
      survey.other_serial_in, escape(survey.other_serial), escape(survey.serial),
      escape(survey.other_serial));
}

Proposal propose(const media::Set& backup, Shop::Enrollment& enrollment, const OnProgress& on_progress,
                 const std::vector<SourceEdit>& edits) {
  std::vector<OriginalView> files;
  for (const media::File& file : backup.files) files.push_back({file.name, file.bytes});
  Proposal proposal{survey(files, enrollment.serial), {}, {}, {}};
  edit_sources(proposal.survey, edits);
  if (enrollment.units) edit_units(proposal.survey, *enrollment.units);
  const Layout layout = parse_layout(proposal.survey.layout, "layout.toml");
  enrollment.layout_text = proposal.survey.layout;
  enrollment.serial = proposal.survey.serial;
  if (!enrollment.units) enrollment.units = proposal.survey.units;
  if (!enrollment.units) enrollment.units = layout.units.value_or(Units::inch);
  const Reading reading =
      read_backup(layout, {enrollment.serial, *enrollment.units}, files, nullptr, on_progress);
  proposal.understood = understood(layout, reading, files);
  proposal.remarks = other_serial_text(proposal.survey);
  proposal.backups = backups_within(layout, backup, enrollment.serial);
  if (!proposal.backups.empty())
    proposal.remarks +=
        fmt::format("keepway: {}: propose from one of them\n", look_like_backups(proposal.backups));
  if (const auto lost = looks_lost(reading.state))
    proposal.remarks += fmt::format("keepway: {}; propose from an older one where there is one\n", *lost);
  return proposal;
}

Done enroll_from(Shop shop, const Proposal& proposal, const Shop::Enrollment& enrollment,
                 const std::string& from, std::size_t slot, show::Style style) {
  const auto others = shop.with_serial(enrollment.serial);
  const Machine machine = enrolled(std::move(shop), enrollment);
  return {show::enrolled_from(machine.facts(), machine.repository().folder().string(), from, slot,
                              proposal.survey, proposal.understood, style),
          show::all_understood(proposal.understood) ? Exit::done : Exit::look,
          same_serial_text(others, machine.facts())};
}

void add_enroll(Command app, Globals& globals) {
  auto options = std::make_shared<EnrollOptions>();
  Command made =
      command(app, "enroll", "Enroll a machine: make its repository, with a layout and an empty namebook",
              "keepway enroll mill-1 --from /media/stick/MILL1 --title \"Knee mill\"");
  made->add_option("MACHINE", options->enrollment.name, "Short name: letters, digits, - _ .")->required();
  const Option from = made->add_option(
      "--from", options->from, "A backup of the machine: propose the layout from it, and show what it reads");
  from->filled()->type_name("PATH");
  made->add_option("--slot", options->slot,
                   "Slot of a stick with many floppy-sized volumes ('keepway slots PATH' lists them)")
      ->between(1, 100000)
      ->needs(from)
      ->type_name("N");
  made->add_flag("--accept", options->accept, "Enroll from what looks like several backups in one folder")
      ->needs(from);
  made->add_option("--layout", options->enrollment.layout,
                   "A layout that comes with keepway (rs274ngc), or a TOML file")
      ->filled()
      ->excludes(from)
      ->type_name("NAME|FILE.toml");
  made->add_option("--serial", options->enrollment.serial,
                   "Serial number, as it is in file names or headings; with --from it is looked for")
      ->type_name("S");
  made->add_option("--units", options->units, "Units of its lengths; else the layout's, else inch")
      ->one_of({"inch", "mm"});
  made->add_option("--title", options->enrollment.title, "What people call it")->type_name("T");
  made->add_option("--backup-every", options->enrollment.backup_every_days,
                   "Days after which 'keepway status' calls for a new good backup")
      ->between(1, 36'500)
      ->type_name("DAYS");
  made->callback([&globals, options] {
    Shop::Enrollment& enrollment = options->enrollment;
    enrollment.units = parse_units(options->units);
    enrollment.by = who();
    enrollment.now = now();
    if (options->from.empty() && enrollment.layout.empty()) {
      throw Error(
          ErrorKind::usage, "it is not said how the machine writes its memory",
          "--from PATH proposes a layout from a backup; --layout NAME|FILE.toml takes one that is there");
    }
    if (options->from.empty()) return enroll_by_layout(globals, *options);
    const Shop shop = open_shop(globals);  // before the work
    media::ReadOptions read;
    if (options->slot != 0) read.slot = options->slot;
    read.on_progress = Progress::report;
    const Proposal proposal = propose(media::read(options->from, read), enrollment, read.on_progress);
    if (!options->accept) refuse_many(proposal, enrollment.name);
    Progress::stop();
    put(stderr, proposal.remarks);
    finish(globals, enroll_from(shop, proposal, enrollment, options->from, options->slot, style(globals)));
  });
}

}  // namespace keepway::cli
