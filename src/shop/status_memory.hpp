// What main comes to: its newest backup, the newest good one, and what people said of its backups since.
// Found by a walk over all of main, and cached (base/cache.hpp), so that the next one walks only what is new.
#pragma once

#include <vector>

#include "keepway/backup.hpp"
#include "shop/amendments.hpp"

namespace keepway {

struct StatusMemory {
  store::Oid tip;
  store::Oid newest;                   // by date, of those that count; empty: none. So the next two
  store::Oid good;                     // the newest of them that was good or accepted
  store::Oid confirming;               // last to come in that wholly confirmed a restore
  int confirmed = 0;                   // how many did
  std::vector<store::Oid> amendments;  // commits, the newest first
};

struct MainLine {
  StatusMemory memory;
  Amendments amendments;
  std::optional<Backup> newest;
  std::optional<Backup> good;
};

// As of main's tip. `before`: the same as of an earlier one, where it is at hand. Error{store} when main
// cannot be read.
MainLine read_main_line(const store::Repository& repository, const store::Oid& tip,
                        const MainLine* before = nullptr);

// Whether what is cached is what a walk finds; true when nothing is.
bool status_memory_sound(const store::Repository& repository);
void drop_status_memory(const store::Repository& repository) noexcept;

}  // namespace keepway
