// What a walk over a machine's whole line found for `status`, cached (base/cache.hpp) so that the next one
// walks only what is new.
#pragma once

#include "keepway/store.hpp"

namespace keepway {

struct StatusMemory {
  store::Oid tip;
  store::Oid newest;      // backup that came in last; empty: none. So the next two
  store::Oid good;        // newest by its date that was good or accepted
  store::Oid confirming;  // last to come in that wholly confirmed a restore
  int confirmed = 0;      // how many did
};

// As of `tip`.
StatusMemory bring_up_to_date(const store::Repository& repository, const store::Oid& tip);

// Whether what is cached can be read; true when nothing is.
bool status_memory_sound(const store::Repository& repository);
void drop_status_memory(const store::Repository& repository) noexcept;

}  // namespace keepway
