#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {

void add_reasons(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::size_t back = 0;  // 0: none
    std::string by;
    std::string why;
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
    std::vector<KnownReason> taken;
    if (options->back > 0) {
      Machine::TakeBack what;
      what.places = {options->back - 1};
      what.by = options->by.empty() ? who() : options->by;
      what.why = options->why;
      what.now = now();
      taken = machine.take_back(what);
    }
    print(globals, show::reasons(context(globals, machine), machine.known_reasons(), taken));
  });
}

}  // namespace keepway::cli
