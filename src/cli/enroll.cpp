#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"
#include "cli/hooks.hpp"

namespace keepway::cli {
namespace {

struct EnrollOptions {
  Shop::Enrollment enrollment;
  std::string units;
  std::string from;
};

Machine enrolled(const Globals& globals, const EnrollOptions& options) {
  return open_shop(globals).enroll(options.enrollment,
                                   [](const std::filesystem::path& path) { put_hooks(path, false); });
}

void enroll_by_layout(Globals& globals, const EnrollOptions& options) {
  const Machine machine = enrolled(globals, options);
  const MachineFacts& facts = machine.facts();
  const std::string folder = machine.repository().folder().string();
  print(globals,
        show::done(
            fmt::format("Enrolled {} ({}), units {}.\n"
                        "Its layout and its namebook are {}/layout.toml and namebook.tsv: yours to edit.\n"
                        "Next: keepway inspect {} PATH\n",
                        facts.name, escape(facts.title), units_name(facts.units), folder, facts.name),
            {{"command", "enroll"},
             {"machine", facts.name},
             {"units", std::string(units_name(facts.units))},
             {"folder", folder}}));
}

// The layout is proposed from a backup, which is read with it and not stored.
void enroll_by_backup(Globals& globals, EnrollOptions& options) {
  (void)open_shop(globals);  // before the work
  const media::Set set = media::read(options.from);
  std::vector<OriginalView> files;
  for (const media::File& file : set.files) files.push_back({file.name, file.bytes});
  Shop::Enrollment& enrollment = options.enrollment;
  const Survey found = survey(files, enrollment.serial);
  enrollment.serial = found.serial;
  enrollment.layout_text = found.layout;
  if (!enrollment.units) enrollment.units = found.units;
  const Machine machine = enrolled(globals, options);
  const MachineFacts& facts = machine.facts();
  const Layout layout = parse_layout(found.layout, "layout.toml");
  const Reading reading = read_backup(layout, {facts.serial, facts.units}, files);
  const Understood made = understood(layout, reading, files);
  print(globals, show::enrolled_from(facts, machine.repository().folder().string(), options.from, found, made,
                                     style(globals)));
  if (!show::all_understood(made)) globals.exit = Exit::look;
}

}  // namespace

void add_enroll(Command app, Globals& globals) {
  auto options = std::make_shared<EnrollOptions>();
  Command made =
      command(app, "enroll", "Enroll a machine: make its repository, with a layout and an empty namebook",
              "keepway enroll mill-1 --from /media/stick/MILL1 --title \"Knee mill\"");
  made->add_option("MACHINE", options->enrollment.name, "Short name: letters, digits, - _ .")->required();
  const Option from = made->add_option(
      "--from", options->from, "A backup of the machine: propose the layout from it, and show what it reads");
  from->filled()->type_name("PATH");
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
    if (options->from.empty()) {
      enroll_by_layout(globals, *options);
    } else {
      enroll_by_backup(globals, *options);
    }
  });
}

}  // namespace keepway::cli
