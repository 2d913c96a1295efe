#include <memory>

#include "cli/acts.hpp"

namespace keepway::cli {

Done reasons(Machine& machine, const ReasonsWords& words, show::Style style) {
  std::vector<KnownReason> taken;
  if (words.back > 0) {
    Machine::TakeBack what;
    what.places = {words.back - 1};
    what.by = words.by.empty() ? who() : words.by;
    what.why = words.why;
    what.now = now();
    taken = machine.take_back(what);
  }
  return {show::reasons({machine.facts(), machine.namebook(), style}, machine.known_reasons(), taken)};
}

void add_reasons(Command app, Globals& globals) {
  struct Options : ReasonsWords {
    std::string machine;
  };
  auto options = std::make_shared<Options>();
  Command made = command(
      app, "reasons",
      "List the reasons that somebody accepted (intake --accept): a backup with these alone is good",
      "keepway reasons mill-1\n  keepway reasons mill-1 --take-back 2 --why \"the program is on the control "
      "again\"");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  Option back =
      made->add_option("--take-back", options->back,
                       "Take back the reason with this number: the next backup that has it is doubtful again")
          ->between(1, 1'000'000)
          ->type_name("N");
  made->add_option("--by", options->by, "Who takes it back; else the user's name")
      ->needs(back)
      ->type_name("NAME");
  made->add_option("--why", options->why, "Why, in one line")->needs(back)->type_name("TEXT");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    finish(globals, reasons(machine, *options, style(globals)));
  });
}

}  // namespace keepway::cli
