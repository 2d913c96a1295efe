#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/command.hpp"
#include "cli/terminal.hpp"
#include "keepway/trial.hpp"

namespace keepway::cli {
namespace {

// While a trial is in progress its line is listed; main may have gone on.
void say_what_main_has(const Machine& machine, const std::vector<Backup>& listed) {
  constexpr std::size_t most = 5;
  if (!trial_of_line(machine.repository().line())) return;
  std::vector<Backup> on_main = machine.passed_over(most);
  if (auto newest = machine.newest()) on_main.push_back(std::move(*newest));
  std::string names;
  for (const Backup& each : on_main) {
    const bool there = std::any_of(listed.begin(), listed.end(),
                                   [&](const Backup& other) { return other.commit == each.commit; });
    if (!there) names += (names.empty() ? "" : ", ") + escape(name_of(each));
  }
  if (!names.empty())
    put(stderr, fmt::format("keepway: main has, beside what the trial in progress has: {}\n", names));
}

}  // namespace

void add_history(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    bool reasons = false;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "history", "List the backups of a machine, newest first",
                         "keepway history mill-1 --reasons");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_flag("--reasons", options->reasons, "All reasons of each verdict, not only the first");
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    const auto rewritten = machine.rewritten();
    if (!rewritten.empty()) globals.exit = std::max(globals.exit, Exit::look);
    std::vector<Backup> backups = machine.backups();
    std::stable_sort(backups.begin(), backups.end(), is_newer);
    say_what_main_has(machine, backups);
    print(globals, show::history(context(globals, machine), backups, rewritten, options->reasons));
  });
}

}  // namespace keepway::cli
