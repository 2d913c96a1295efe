#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/acts.hpp"

namespace keepway::cli {
namespace {

// A mark that reads as something else could not be asked for, or would hide what it reads as.
void check_mark_name(const Machine& machine, const std::string& name) {
  const bool number = !name.empty() && name.find_first_not_of("0123456789") == std::string::npos;
  const auto lines = machine.repository().lines();
  const bool line = std::any_of(lines.begin(), lines.end(),
                                [&](const store::Repository::Line& each) { return each.name == name; });
  if (!number && !line && name.find('#') == std::string::npos && !name.starts_with("kept ") &&
      !parse_time(name, true) && name != "HEAD")
    return;
  throw Error(ErrorKind::usage,
              fmt::format("'{}' cannot name a mark: it reads as a number, a date or a branch", escape(name)),
              "give it a name of its own, as in 'known good' or 'after ballscrew'");
}

}  // namespace

Done mark(Machine& machine, const MarkWords& words, show::Style /*style*/) {
  check_mark_name(machine, words.name);
  const Backup backup = backup_at(machine, words.at);
  machine.repository().mark(words.name, backup.commit, words.by.empty() ? who() : words.by, now());
  return {show::done(fmt::format("Backup {} ({}) is marked '{}'.\n", name_of(backup), format_time(backup.at),
                                 escape(words.name)),
                     {{"command", "mark"},
                      {"machine", machine.facts().name},
                      {"mark", escape(words.name)},
                      {"commit", backup.commit}})};
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
  made->add_option("--at", options->at, "'#N', a date, a mark or a Git revision; by default the newest")
      ->filled()
      ->type_name("WHEN");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    finish(globals, mark(machine, *options, style(globals)));
  });
}

}  // namespace keepway::cli
