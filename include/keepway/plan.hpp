// What a restore will do, reported before anything is written.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/compare.hpp"
#include "keepway/compose.hpp"
#include "keepway/namebook.hpp"
#include "keepway/restore.hpp"

namespace keepway {

struct PlannedValue {
  ValueChange change;        // before: as the machine is last known; after: what the files hold
  bool living = false;       // expected to differ by itself again
  bool power_cycle = false;  // takes effect after the power was off
  std::string caution;       // the namebook's
};

enum class LockKind {
  parameter,  // parameters load only with their lock off (common practice, no source)
  program,  // programs of protected numbers load only with the program lock off (common practice, no source)
};
struct Lock {
  LockKind kind = LockKind::parameter;
  std::vector<std::string> files;     // that need it off
  std::vector<std::string> programs;  // program: the protected ones; natural order
};

struct RestorePlan {
  std::vector<LoadStep> steps;  // in the order of loading
  std::vector<Group> groups;    // that the files hold, most dangerous first
  // Against the machine as last known: values by group, most dangerous first, then natural order.
  std::vector<PlannedValue> values;
  std::vector<ProgramChange> programs;
  std::vector<Lock> locks;
  std::vector<Address> power_cycle;  // of `values`
  // What the machine holds and the files do not: loading does not take it away. And what the files hold and
  // no source reads. And what was refused.
  std::vector<Refusal> cannot;
};

struct PlanInput {
  const media::Set& set;   // the files as they are to be
  const Reading& reading;  // of `set`
  const Layout& layout;    // that it was read with
  const Namebook& namebook;
  const State& known;  // what the machine held at its newest backup
  // Those of `set` to be loaded; absent: all.
  std::optional<std::vector<std::string>> files;
  std::vector<std::string> dropped;  // Composed::dropped
  std::vector<Refusal> refused;      // Composed::refused
};
RestorePlan plan(const PlanInput& input);

}  // namespace keepway
