// The backups of the line in force by their dates, as the machine had them: what a history of values goes by,
// whatever came in last.
//
// An index (store::Index) goes by the order in which backups were stored, each against the one stored before
// it. A drawer of old ones, another PC's backups and a corrected date make that another order than the
// dates'.
#pragma once

#include <cstddef>
#include <vector>

#include "keepway/index.hpp"
#include "shop/amendments.hpp"

namespace keepway {

class Timeline {
 public:
  Timeline(const store::Index& index, const Amendments& said);

  struct Entry {
    std::size_t place = 0;  // in the index
    bool withdrawn = false;
  };
  // The oldest first, as is_newer() has it; of what that finds equal the one stored first. One whose date
  // says nothing of the machine stays behind the one that was stored before it: of a wrong clock
  // (is_misdated()), and the day on which a trial was merged.
  [[nodiscard]] const std::vector<Entry>& entries() const { return entries_; }
  // Whether that is the order in which they were stored, and none is withdrawn.
  [[nodiscard]] bool as_stored() const { return as_stored_; }

 private:
  std::vector<Entry> entries_;
  bool as_stored_ = true;
};

}  // namespace keepway
