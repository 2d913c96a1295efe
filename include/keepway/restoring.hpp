// A restore from beginning to end: which originals, which values, and what it will do to the machine as
// last known. Writes nothing; the caller writes `set` to a medium.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/confirm.hpp"
#include "keepway/plan.hpp"
#include "keepway/shop.hpp"

namespace keepway {

struct RestoreRequest {
  Backup at;
  // Nothing: all. Groups alone (empty keys): their files as they were. Any address of an item: the
  // machine's newest originals with nothing changed but these items.
  std::vector<Address> only;
  // The machine that `at` is a backup of, when it is another one: its items are put into this machine's
  // originals. Only with addresses of items.
  const Machine* from = nullptr;
};

struct RestoreJob {
  Backup target;
  Backup known;  // the newest backup that came off the machine, on any line: what it holds as last known
  bool by_item = false;
  bool merged = false;  // the target is a kept trial's merge: composed from the originals of both lines
  media::Set set;
  Layout layout;     // that `set` is read with
  RestorePlan plan;  // against `known`
};

// Error{usage} when nothing is at an asked address; Error{refused} with the reason when the set cannot
// be made exactly as asked; Error{store} when stored originals are damaged.
RestoreJob prepare_restore(const Machine& machine, const RestoreRequest& request);

// The newest backup that came off the machine, whatever line it was taken in on.
Backup newest_known(const Machine& machine);

}  // namespace keepway
