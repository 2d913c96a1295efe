// Lock files that a program left behind when it died.
#pragma once

#include <ctime>
#include <filesystem>

namespace keepway::store {

// Removes Git's lock files (`X.lock` beside the X that is rewritten: HEAD, index, packed-refs, config, refs)
// that are no older than `since`, when the owner that died began. To be called under keepway's own lock. A
// living Git holds such a file for a moment: each is given half a second to go or change, and is stale only
// if it has not. One that cannot be removed is left for Git to name.
void clear_stale_locks(const std::filesystem::path& git_folder, const timespec& since);

}  // namespace keepway::store
