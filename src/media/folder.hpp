// Folders and single files on this computer's own disks.
#pragma once

#include <dirent.h>
#include <sys/stat.h>

#include <functional>
#include <memory>
#include <string>

#include "keepway/media.hpp"

namespace keepway::media {

// One regular file; Error{refused} for anything else.
File read_file(const std::filesystem::path& path, std::string name, bool follow, std::uint64_t limit);

Set read_folder(const std::filesystem::path& root, const OnProgress& on_progress = {});

// A folder held open, and what is in it.
struct Listed {
  std::string name;
  mode_t kind = 0;  // as in st_mode, of a link itself; 0 for what went meanwhile
};
using OpenFolder = std::unique_ptr<DIR, int (*)(DIR*)>;
// Both: Error{input} when it cannot be read.
OpenFolder open_folder(const std::filesystem::path& folder);
// By name, so that what is met first does not depend on the disk. Ends early when `more` says so.
std::vector<Listed> entries_in(DIR& dir, const std::filesystem::path& folder,
                               const std::function<bool()>& more);

}  // namespace keepway::media
