// The baseline of a line: the newest backup that was good or that a person accepted, which later ones are
// judged against.
#pragma once

#include <optional>

#include "keepway/shop.hpp"

namespace keepway {

// Of the line that ends at `tip`. Where the newest backups are all doubtful, as while a layout is in work,
// what was found is kept in the cache with the tip that it was found from, so that no intake walks to the
// root.
std::optional<Backup> find_baseline(const store::Repository& repository, const store::Oid& tip);

// Whether what the cache holds of it is absent, or whole and what a walk finds.
bool baseline_sound(const store::Repository& repository);
void drop_baseline(const store::Repository& repository) noexcept;

}  // namespace keepway
