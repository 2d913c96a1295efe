// What a machine's earlier backups say of one that is judged, got from the repository only where a check
// asks.
#pragma once

#include "keepway/machine.hpp"

namespace keepway {

// All of it refers to `repository` and `inspection`, which must outlive it. `base` is the baseline's commit.
// Of an inspection that is late, what is dated after it says nothing.
Past past_of(const store::Repository& repository, const Inspection& inspection, const store::Oid& base);
OldFiles old_files_of(const store::Repository& repository, const Inspection& inspection,
                      const store::Oid& base);

}  // namespace keepway
