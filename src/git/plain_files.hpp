// What is no plain file or folder where a repository of one's own has one.
//
// Motivation: a machine's folder that was copied from somebody, or unpacked from an archive, may hold a pipe
// by the name of one of Git's files, which libgit2 waits for without end, or a link, by which it writes
// elsewhere. A `.git` that names another folder leads there too: Git's own work trees do so, and there the
// other folder names this one (gitrepository-layout(5), worktrees/<id>/gitdir). Of a stranger's more is
// asked, see strange_folder.hpp.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

namespace keepway::store {

inline constexpr std::uintmax_t max_alternates = std::uintmax_t{1}
                                                 << 16U;  // bytes of objects/info/alternates

// Whether a configuration has a section [include] or [includeIf], be it in a remark: libgit2 opens whatever
// file that names, and waits for a pipe without end.
bool includes_others(std::string config);

// Error{store}, naming it, where Git's part of a folder holds one. Single objects are not looked at: for
// those see loose.hpp and pack_bounds.hpp.
void require_plain_files(const std::filesystem::path& folder);

}  // namespace keepway::store
