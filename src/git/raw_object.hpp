// Commits, trees and tags parsed from their bytes.
//
// Motivation: an audit must read what it can from a repository that libgit2 refuses to open, and must
// say what is wrong with an object instead of failing at it. Any bytes; nothing recurses.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "git/git.hpp"

namespace keepway::store {

struct RawCommit {
  git_oid tree{};
  std::vector<git_oid> parents;
  CommitInfo info;
};
std::optional<RawCommit> parse_commit(const git_oid& id, std::string_view bytes);

struct RawEntry {
  std::string mode;  // as it is written there
  std::string name;
  git_oid id{};
  bool folder = false;
  bool elsewhere = false;  // a submodule: its commit is not in this repository
};
std::optional<std::vector<RawEntry>> parse_tree(std::string_view bytes);

struct RawTag {
  git_oid target{};
  std::string name;
};
std::optional<RawTag> parse_tag(std::string_view bytes);

// 40 lower-case hex digits.
std::optional<git_oid> parse_hex(std::string_view text);

}  // namespace keepway::store
