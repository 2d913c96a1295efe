// What commands do, without the command line around them: the counter does the same by the same functions.
// Each throws Error as its command does, and then nothing was done.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/command.hpp"
#include "keepway/restoring.hpp"

namespace keepway::cli {

struct Done {
  show::Answer answer;
  Exit exit = Exit::done;
  std::string beside = {};  // said next to the answer, on standard error; whole lines
};

struct IntakeWords {
  std::string at;
  std::size_t slot = 0;  // 0: none given
  bool recover = false;
  std::vector<std::string> recovered_as;  // "OLD=NEW" each, of recovered files
  bool again = false;                     // store it although the same files of the same time are stored
  IntakeOptions intake;
  std::string remarks;  // of received(), for people: what was left out, a date that does not fit; whole lines
};
// Reads the medium; fills in the times of `words.intake`, and `words.remarks`.
media::Set received(const std::string& path, IntakeWords& words);
Done inspected(const Machine& machine, const Inspection& inspection, show::Style style);
// Stores what was inspected, unless it is refused or stored already.
Done take_in(Machine& machine, const Inspection& inspection, const IntakeWords& words, show::Style style);

struct MarkWords {
  std::string name;
  std::string at;  // empty: the newest
  std::string by;  // empty, here and below: who()
};
Done mark(Machine& machine, const MarkWords& words, show::Style style);

struct WithdrawWords {
  std::string backup;
  std::string why;
  std::string by;
};
Done withdraw(Machine& machine, const WithdrawWords& words, show::Style style);

struct CorrectWords {
  std::string backup;
  std::string at;  // empty: as it reads
  std::optional<std::string> taken_by;
  std::optional<std::string> note;
  std::string by;
};
Done correct(Machine& machine, const CorrectWords& words, show::Style style);

struct ReasonsWords {
  std::size_t back = 0;  // 0: none, they are listed
  std::string by;
  std::string why;
};
Done reasons(Machine& machine, const ReasonsWords& words, show::Style style);

struct BatteryWords {
  std::string changed;  // empty: as it is
  int months = 0;       // 0: as it is
};
Done battery(const Machine& machine, const BatteryWords& words, show::Style style);

struct RestoreWords {
  std::string at;
  std::vector<std::string> only;
  bool plan = false;
  bool accept = false;  // a doubtful or withdrawn backup, or values of one machine
};
// What would be put back. `other`: the machine that `at` is a backup of, when it is another one.
RestoreJob restore_job(const Machine& machine, const RestoreWords& words, const Machine* other = nullptr);

// The command's end: prints the answer and sets the exit code.
void finish(Globals& globals, const Done& done);

}  // namespace keepway::cli
