// Which paths a tree of ours may hold.
//
// Motivation: a path such as `.git/config`, or one that some disk takes for it, would make a clone
// of the repository run what a backup says. Names are made safe before they come here; this is the
// last door, and it only refuses.
#pragma once

#include <string_view>

namespace keepway::store {

// Why a part of a path, or a whole path, cannot be had; nullptr when it can. A part named `.gitattributes`
// can be had at the root alone.
const char* part_fault(std::string_view part, bool at_root);
const char* path_fault(std::string_view path);

// Error{refused}, saying why, unless the path is relative, with no empty, `.`, `..` or `.git` part
// (in any spelling that NTFS or HFS+ take for it), no NUL, at most 4096 bytes, 255 a part, and 128 parts
// deep.
void require_clean_path(std::string_view path);

// A replace prefix without its final '/'. Empty means the whole tree. Checked as paths are.
std::string_view clean_prefix(std::string_view prefix);

// Whether `path` is `folder` itself or lies below it; the empty folder holds everything.
bool lies_in(std::string_view path, std::string_view folder);

}  // namespace keepway::store
