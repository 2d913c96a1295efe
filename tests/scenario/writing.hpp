// Commands that write, each on a mill with one backup, for tests that break them off: what a fault, a kill or
// a power cut may leave is the same for all.
#pragma once

#include <set>

#include "shop_fixture.hpp"

namespace scenario {

struct WritingCommand {
  std::string name;
  std::vector<Args> before;  // on a mill with one backup
  Args command;              // with what filled() knows
  Args half = {};            // a command that goes part of the way: what stands then may stand, too
  bool goes_on = false;      // the same command again gets the rest done
  int step = 1;              // every how many calls are tried in the everyday run
};
void PrintTo(const WritingCommand& each, std::ostream* out);
const std::vector<WritingCommand>& writing_commands();

class WritingTest : public ShopTest {
 protected:
  // The mill with its backup, the files that come in later, and a remote that is empty.
  void prepare();
  [[nodiscard]] Args filled(Args args) const;
  // By Git and by the audit.
  void expect_whole(const char* when);
  // What the shop holds, for people's purposes: backups, trials and marks.
  std::string standing();
  // What a remote holds for others.
  std::string sent();
  // Of every backup that any ref still reaches, archived trials too.
  std::set<std::string> digests();

  Tree first_;
  Tree second_;
  fs::path files_;
  fs::path more_;
  fs::path many_;
  fs::path remote_;  // in the shop's folder, unless a test names another before prepare()
};

}  // namespace scenario
