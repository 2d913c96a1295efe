#include <fmt/format.h>

#include <memory>

#include "cli/acts.hpp"
#include "cli/owner_file.hpp"

namespace keepway::cli {
namespace {

Battery asked_for(const BatteryWords& options, Battery battery) {
  if (!options.changed.empty()) {
    const std::int64_t at = time_option(options.changed);
    if (at > now() + 86'400) {
      throw Error(ErrorKind::usage, fmt::format("{} is in the future", options.changed),
                  "give the day on which the battery was changed");
    }
    battery.changed = day_start_of(at);
  }
  if (options.months > 0) battery.every_months = options.months;
  return battery;
}

}  // namespace

Done battery(const Machine& machine, const BatteryWords& words, show::Style style) {
  MachineFacts facts = machine.facts();
  if (!words.changed.empty() || words.months > 0) {
    constexpr const char* file = "machine.toml";
    facts.battery = asked_for(words, facts.battery);
    edit_owner_file(machine, file,
                    [&](const std::string& text) { return set_battery(text, file, facts.battery); });
  }
  return {show::battery({facts, machine.namebook(), style}, now()),
          facts.battery.is_due(now()) ? Exit::look : Exit::done};
}

void add_battery(Command app, Globals& globals) {
  struct Options : BatteryWords {
    std::string machine;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "battery", "Record when a control's battery was changed, or show when it is due",
              "keepway battery mill-1 --changed 2026-01-31 --every-months 12\n  keepway battery mill-1");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("--changed", options->changed, "The day it was changed")->filled()->type_name("DATE");
  made->add_option("--every-months", options->months, "How many months a battery lasts; by default 12")
      ->between(1, 1'200)
      ->type_name("N");
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    finish(globals, battery(machine, *options, style(globals)));
  });
}

}  // namespace keepway::cli
