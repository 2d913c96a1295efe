#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"
#include "cli/hooks.hpp"

namespace keepway::cli {

void add_enroll(Command app, Globals& globals) {
  struct Options {
    Shop::Enrollment enrollment;
    std::string units;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "enroll", "Enroll a machine: make its repository, with a layout and an empty namebook",
              "keepway enroll mill-1 --layout rs274ngc --serial 4471 --units inch --title \"Knee mill\"");
  made->add_option("MACHINE", options->enrollment.name, "Short name: letters, digits, - _ .")->required();
  made->add_option("--layout", options->enrollment.layout,
                   "A layout that comes with keepway (rs274ngc), or a TOML file")
      ->required()
      ->type_name("NAME|FILE.toml");
  made->add_option("--serial", options->enrollment.serial, "Serial number, as it is in file names")
      ->type_name("S");
  made->add_option("--units", options->units, "Units of its lengths; else the layout's, else inch")
      ->one_of({"inch", "mm"});
  made->add_option("--title", options->enrollment.title, "What people call it")->type_name("T");
  made->add_option("--backup-every", options->enrollment.backup_every_days,
                   "Days after which 'keepway status' calls for a new good backup")
      ->between(1, 36'500)
      ->type_name("DAYS");
  made->callback([&globals, options] {
    Shop shop = open_shop(globals);
    options->enrollment.units = parse_units(options->units);
    options->enrollment.by = who();
    options->enrollment.now = now();
    const Machine machine =
        shop.enroll(options->enrollment, [](const std::filesystem::path& path) { put_hooks(path, false); });
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
  });
}

}  // namespace keepway::cli
