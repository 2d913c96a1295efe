#include "keepway/pile.hpp"

#include <fmt/format.h>

#include <csignal>
#include <memory>

#include "cli/command.hpp"
#include "cli/progress.hpp"

namespace keepway::cli {
namespace {

volatile std::sig_atomic_t stop_wanted = 0;

int last_number(const Machine& machine) {
  const auto newest = machine.latest();
  return newest ? newest->number : 0;
}

// What had landed when the disk failed stays; the rest comes in by the same command.
[[noreturn]] void tell_broken_off(const Error& error, int stored) {
  std::string remedy = "fix that, then run the same command again";
  if (stored > 0)
    remedy += fmt::format(": {} {} stored, and it continues from there", stored,
                          stored == 1 ? "backup is" : "backups are");
  throw Error(error.kind(), error.what(), remedy, error.place());
}

DayOrder order_option(const std::string& text) {
  if (text.empty()) return DayOrder::unknown;
  return text == "day-first" ? DayOrder::day_first : DayOrder::month_first;
}

}  // namespace

void add_pile(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string drawer;
    std::string dates;
    PileOptions pile;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "pile", "Take in a drawer: a folder of old backups, in any order",
              "keepway pile mill-1 /media/drawer --dry-run\n  keepway pile mill-1 /media/drawer --by Ana");
  made->add_option("MACHINE", options->machine, "The machine that all of them came off")->required();
  made->add_option("DIR", options->drawer,
                   "A folder with folders, floppy or stick images, and archives in it")
      ->required()
      ->filled();
  made->add_option("--dates", options->dates,
                   "How to read dates like 04-03-2019, where neither other names nor file times decide")
      ->one_of({"day-first", "month-first"});
  made->add_option("--by", options->pile.by, "Who took the backups; else the user's name")->type_name("NAME");
  made->add_option("--note", options->pile.note, "A note for each of them")->type_name("TEXT");
  made->add_flag("--accept", options->pile.accept, "Also store those whose verdict is 'refused'");
  made->add_flag("--dry-run", options->pile.dry_run, "Show the plan, and store nothing");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    if (const auto trial = trial_of_line(machine.repository().line())) {
      throw Error(
          ErrorKind::refused,
          fmt::format("trial {} is in progress, and old backups belong to main; nothing was stored",
                      escape(*trial)),
          fmt::format("pause it first: keepway trial {} pause {}", machine.facts().name, escape(*trial)));
    }
    if (options->pile.by.empty()) options->pile.by = who();
    options->pile.now = now();
    const Pile pile = find_pile(machine, options->drawer, order_option(options->dates));
    const show::Context shown = context(globals, machine);
    if (!globals.json) print(globals, show::pile_plan(shown, pile, options->pile.dry_run));

    std::vector<PileStep> steps;
    const int before = last_number(machine);
    try {
      const Progress line;  // the plan has been printed: the program's own line is gone
      std::signal(SIGINT, [](int) { stop_wanted = 1; });
      take_pile(machine, pile, options->pile, [&](const PileStep& step) {
        steps.push_back(step);
        Progress::step("backups", steps.size(), pile.entries.size(), escape(step.entry->name));
        return stop_wanted == 0;
      });
      std::signal(SIGINT, SIG_DFL);
    } catch (const Error& error) {
      if (error.kind() != ErrorKind::store) throw;
      tell_broken_off(error, last_number(machine) - before);
    }
    print(globals, show::pile(shown, pile, steps, options->pile.dry_run));
    const bool fine = std::all_of(steps.begin(), steps.end(), [](const PileStep& step) {
      return step.fate == PileStep::Fate::there_already ||
             (step.fate == PileStep::Fate::stored && (!step.backup || step.backup->worth == Worth::good));
    });
    if (!fine || !pile.left.empty() || steps.size() < pile.entries.size()) globals.exit = Exit::look;
  });
}

}  // namespace keepway::cli
