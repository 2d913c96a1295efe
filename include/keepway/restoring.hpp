// A restore from beginning to end: which originals, which values, and what it will do to the machine as
// last known. Writes nothing; the caller writes `set` to a medium.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "keepway/confirm.hpp"
#include "keepway/machine.hpp"
#include "keepway/on_progress.hpp"
#include "keepway/plan.hpp"

namespace keepway {

struct RestoreRequest {
  Backup at;
  // Nothing: all. Groups alone (empty keys): their files as they were. Any address of an item: the
  // machine's newest originals with nothing changed but these items.
  std::vector<Address> only;
  // The machine that `at` is a backup of, when it is another one: its items are put into this machine's
  // originals. Only with addresses of items.
  const Machine* from = nullptr;
  std::int64_t now = 0;         // when a set is put together; 0: as `at`
  OnProgress on_progress = {};  // of its files
};

struct RestoreJob {
  Backup target;
  std::string from;  // the machine that the target is a backup of, when it is another one
  std::vector<Address> asked;
  Backup known;  // see newest_known(): what the machine holds as last known, and what single items go into
  bool by_item = false;
  bool merged = false;  // the target is a kept trial's merge: composed from the originals of both lines
  media::Set set;
  Layout layout;     // that `set` is read with
  RestorePlan plan;  // against `known`
  // Whether `target` and `known` were read by the same layout, units and serial; where not, the plan's values
  // may be the same bytes read otherwise.
  bool read_the_same_way = true;
  // What files bear that are not, byte for byte, those of a backup (`known` where it is by item, else
  // `target`): the full minute before they were put together. 0: there are none.
  std::int64_t composed_at = 0;
};

// Error{usage} when nothing is at an asked address; Error{refused} with the reason when the set cannot
// be made exactly as asked, or an asked value would mean something else in the files it goes into (other
// units, another layout); Error{store} when stored originals are damaged.
RestoreJob prepare_restore(const Machine& machine, const RestoreRequest& request);

// For one who has written a set: its composed_at is remembered, so that the set is not taken for the
// machine's own. Best effort; the newest come first.
void remember_composed(const Machine& machine, const RestoreJob& job);
std::vector<std::int64_t> composed_dates(const Machine& machine);
// Whether each file bears one of these dates, to the second, or to two as on a floppy. False for no files.
bool are_dated(const media::Set& set, const std::vector<std::int64_t>& dates);
// Whether a file was put together by a restore, and none was written after it: the files that it leaves as
// they are bear the dates of their backups.
bool are_put_together(const media::Set& set, const std::vector<std::int64_t>& composed);

// The backup that came off the machine last by its date, whenever it came in: what the machine holds. A
// trial's counts here, since the machine held that too; a withdrawn one does not.
Backup newest_known(const Machine& machine);

// A backup's state as its originals are read by today's layout, units and serial: for holding it against
// files that are read so. A kept trial's merge has no originals of its own, and stands as it was kept.
State state_as_read_today(const Machine& machine, const Backup& backup);
bool read_the_same_way(const Machine& machine, const Backup& a, const Backup& b);

}  // namespace keepway
