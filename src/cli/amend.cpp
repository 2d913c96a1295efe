#include "keepway/amend.hpp"

#include <memory>

#include "cli/acts.hpp"

namespace keepway::cli {
namespace {

Speaker speaker(const std::string& by) {
  return {by.empty() ? who() : by, now()};
}

}  // namespace

Done withdraw(Machine& machine, const WithdrawWords& words, show::Style style) {
  const Backup backup = machine.resolve(words.backup);
  if (words.undo && !words.why.empty())
    throw Error(ErrorKind::usage, "--undo and --why exclude each other", "give one of them");
  const Backup now_reads = words.undo ? use_again(machine, backup, speaker(words.by))
                                      : keepway::withdraw(machine, backup, words.why, speaker(words.by));
  const bool is_new = now_reads.withdrawn && !backup.withdrawn;
  return {show::amended({machine.facts(), machine.namebook(), style}, backup, now_reads,
                        is_new ? judged_against(machine, backup) : std::vector<Backup>(), "withdraw")};
}

Done correct(Machine& machine, const CorrectWords& words, show::Style style) {
  const Backup backup = machine.resolve(words.backup);
  Correction said{{}, words.taken_by, words.note};
  if (!words.at.empty()) said.at = time_option(words.at);
  if (words.undo && (said.at || said.who || said.note))
    throw Error(ErrorKind::usage, "--undo and a correction exclude each other", "give one of them");
  const Backup now_reads = words.undo ? uncorrect(machine, backup, speaker(words.by))
                                      : keepway::correct(machine, backup, said, speaker(words.by));
  return {show::amended({machine.facts(), machine.namebook(), style}, backup, now_reads, {}, "correct")};
}

void add_withdraw(Command app, Globals& globals) {
  struct Options : WithdrawWords {
    std::string machine;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "withdraw",
                         "Say that a backup is not to be used, or with --undo that it may be used after all",
                         "keepway withdraw mill-1 7 --why \"it came from the other mill\"");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("N", options->backup, "The backup: its number, or any other name of it")
      ->required()
      ->filled();
  made->add_option("--why", options->why, "The reason; shown wherever the backup is")
      ->filled()
      ->type_name("TEXT");
  made->add_flag("--undo", options->undo, "It may be used again");
  made->add_option("--by", options->by, "Who says so; else the user's name")->filled()->type_name("NAME");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    finish(globals, withdraw(machine, *options, style(globals)));
  });
}

void add_correct(Command app, Globals& globals) {
  struct Options : CorrectWords {
    std::string machine;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "correct", "Say when a backup was really taken, by whom, or what it is",
                         "keepway correct mill-1 7 --at 2026-03-01 --note \"the control's clock was wrong\"");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("N", options->backup, "The backup: its number, or any other name of it")
      ->required()
      ->filled();
  made->add_option("--at", options->at, "When it was taken: 2026-03-01, or 2026-03-01T06:30:00Z")
      ->filled()
      ->type_name("TIME");
  made->add_option("--by", options->taken_by, "Who took it")->filled()->type_name("NAME");
  made->add_option("--note", options->note, "What it is; \"\" for no note")->type_name("TEXT");
  made->add_flag("--undo", options->undo, "Show it as it was stored again");
  made->callback([&globals, options] {
    Machine machine = open_shop(globals).machine(options->machine);
    finish(globals, correct(machine, *options, style(globals)));
  });
}

}  // namespace keepway::cli
