// What a tree of a machine's repository may hold: asked of all that comes from elsewhere before a ref names
// it, and of what another program committed before anything is built on it.
//
// Motivation: a tree is names and modes that a stranger may have chosen, and a checkout makes files of them.
// `.git/hooks/post-checkout` in a tree is a program that the next Git command runs; a link, `..` or a name
// that one file system takes for another leads out of the folder. So the raw objects are read, not what a
// library makes of them. Sources: git-fsck(1), "Fsck messages" (hasDot, hasDotdot, hasDotgit, fullPathname,
// treeNotSorted, duplicateEntries, badFilemode, zeroPaddedFilemode, nulInCommit, missingTree, badDate and
// their like); git-config(1), core.protectHFS and core.protectNTFS.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>

#include "git/git.hpp"
#include "git/objects.hpp"

namespace keepway::store {

inline constexpr std::size_t max_message = std::size_t{1} << 20U;  // bytes of a commit or a tag
inline constexpr std::size_t max_tree_bytes = std::size_t{64} << 20U;
inline constexpr std::size_t max_file = std::size_t{256} << 20U;  // as of one off a medium (media.hpp)
inline constexpr std::size_t max_tags = 4;                        // that name each other

// What must not come in, whoever says so.
struct Harm {
  std::string path;  // escaped; empty for the commit or the tag itself
  std::string what;
};
// Of one row of a tree: its whole path, and its mode as written there ("100644", "40000").
std::optional<Harm> harm_in_entry(std::string_view path, std::string_view mode);
// Of a commit's or a tag's own bytes.
std::optional<Harm> harm_in_commit(std::string_view bytes);
std::optional<Harm> harm_in_tag(std::string_view bytes);
// Of a tree's own bytes, at a path ("" or "a/b/"): rows in order, none twice, each with a path that can be
// had.
std::optional<Harm> harm_in_tree(std::string_view bytes, std::string_view path);
// Of a ref of the kinds that sync speaks of ("refs/heads/main"): nullptr when Git, any file system and people
// can hold it.
const char* harm_in_ref(const std::string& ref);

// Looks through commits of one repository; what was found harmless before is not read again. Not thread-safe.
class FormCheck {
 public:
  // Contents of files are not asked for where they are stored already.
  enum class Contents { must_be_there, trusted };
  explicit FormCheck(git_repository& repo, Contents contents = Contents::must_be_there);
  // A commit, its tree and all below it, each object there and of its kind. Not its parents.
  std::optional<Harm> commit(const git_oid& id);
  // A tag, down to the commit that it names; a commit is looked at by itself.
  std::optional<Harm> tag(const git_oid& id);
  std::optional<Harm> tree(const git_oid& id);

 private:
  struct Object {
    git_object_t type = GIT_OBJECT_INVALID;
    std::string bytes;
  };
  std::optional<Object> read(const git_oid& id, std::size_t most);
  std::optional<Harm> blob(const git_oid& id, const std::string& path);

  OdbHandle odb_;
  Contents contents_;
  std::set<std::pair<std::string, Oid>> harmless_;  // trees, with the paths that they were at
  Ids blobs_;
};

}  // namespace keepway::store
