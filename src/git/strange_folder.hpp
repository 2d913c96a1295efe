// A stranger's repository that is a folder: a share, a stick, a clone that somebody brought.
//
// Motivation: libgit2 opens a folder as if it were one's own. Its configuration may name other files, which
// are read; `.git`, `commondir` or a link may lead to another folder, which is then written to; a pipe among
// its files is waited on for ever. So the files around the objects are looked at before it is opened.
// Source: gitrepository-layout(5); git-config(1), "Includes".
#pragma once

#include <filesystem>
#include <string>

#include "git/git.hpp"

namespace keepway::store {

// The folder with the objects and refs of a repository that is in `folder` itself: it, or `.git` in it.
// Error{store}, saying why, where that is not all in plain files and folders below it; `shown` names it.
std::filesystem::path plain_git_folder(const std::filesystem::path& folder, const std::string& shown);

// It opened, with objects as large as a backup may have, and guarded (guard.hpp). Error{store}.
RepoHandle open_strange_folder(const std::filesystem::path& folder, const std::string& shown);

// The same; Error{store} also where one of its packs must not be followed.
RepoHandle open_strange_folder_whole(const std::filesystem::path& folder, const std::string& shown);

}  // namespace keepway::store
