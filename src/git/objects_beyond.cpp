#include "git/objects_beyond.hpp"

#include <fmt/format.h>

#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "git/form.hpp"
#include "git/raw_object.hpp"
#include "git/read_object.hpp"
#include "git/tree.hpp"

namespace keepway::store {
namespace {

struct Bound {
  std::size_t most = 0;
  const char* words = nullptr;  // of one that is larger
};
Bound bound_of(git_object_t type) {
  if (type == GIT_OBJECT_BLOB) return {max_file, "it is larger than any file that a backup may have"};
  if (type == GIT_OBJECT_TREE) return {max_tree_bytes, "it is a list of files of over 64 MiB"};
  return {max_message, "the commit or mark is over 1 MiB"};
}

class Beyond {
 public:
  Beyond(git_repository& from, git_repository& known_in, const Ids& known, const std::string& shown)
      : from_(take<OdbHandle>("open the objects", git_repository_odb, &from)),
        known_in_(take<OdbHandle>("open the objects", git_repository_odb, &known_in)),
        known_(known),
        shown_(shown) {}

  Ids find(std::vector<git_oid> tips) {
    std::vector<git_oid> level = histories(std::move(tips));
    for (std::size_t depth = 0; !level.empty(); ++depth) {
      if (depth > max_tree_depth) refuse("its folders lie too deep in each other");
      std::vector<git_oid> below;
      for (const git_oid& id : level) {
        if (!met_.insert(id).second) continue;
        out_.insert(id);
        const ReadObject found = read(id);
        if (found.type == GIT_OBJECT_TREE) add_rows(found.bytes, below);
      }
      level = std::move(below);
    }
    return std::move(out_);
  }

 private:
  // Commits and tags; what they say is in them. Of those that are known, that is marked as met.
  std::vector<git_oid> histories(std::vector<git_oid> queue) {
    std::vector<git_oid> below;
    std::size_t tags = 0;
    const std::size_t most_tags = queue.size() * max_tags;
    while (!queue.empty()) {
      const git_oid id = queue.back();
      queue.pop_back();
      if (!met_.insert(id).second) continue;
      if (known_.contains(id)) {
        mark_known(id);
        continue;
      }
      const ReadObject found = read(id);
      out_.insert(id);
      if (found.type == GIT_OBJECT_COMMIT) {
        const auto commit = parse_commit(id, found.bytes);
        if (!commit) fail(id);
        queue.insert(queue.end(), commit->parents.begin(), commit->parents.end());
        below.push_back(commit->tree);
      } else if (found.type == GIT_OBJECT_TAG) {
        const auto tag = parse_tag(found.bytes);
        if (!tag) fail(id);
        if (++tags > most_tags) refuse("a mark names a mark of a mark of a mark");
        queue.push_back(tag->target);
      }
    }
    return below;
  }

  // What of it is lost here comes once more.
  void mark_known(const git_oid& commit) {
    const auto bytes = read_known(commit, GIT_OBJECT_COMMIT);
    const auto parsed = bytes ? parse_commit(commit, *bytes) : std::nullopt;
    if (!parsed) return;
    std::vector<git_oid> trees{parsed->tree};
    while (!trees.empty()) {
      const git_oid id = trees.back();
      trees.pop_back();
      if (met_.contains(id)) continue;
      const auto tree = read_known(id, GIT_OBJECT_TREE);
      if (!tree) continue;
      met_.insert(id);
      for (const RawEntry& row : parse_tree(*tree).value_or(std::vector<RawEntry>())) {
        if (row.folder) {
          trees.push_back(row.id);
        } else if (git_odb_exists(known_in_.get(), &row.id) != 0) {
          met_.insert(row.id);
        }
      }
    }
  }

  std::optional<std::string> read_known(const git_oid& id, git_object_t type) {
    git_odb_object* raw = nullptr;
    if (git_odb_read(&raw, known_in_.get(), &id) != 0) return std::nullopt;
    const OdbObjectHandle object(raw);
    if (git_odb_object_type(raw) != type) return std::nullopt;
    return std::string(static_cast<const char*>(git_odb_object_data(raw)), git_odb_object_size(raw));
  }

  // Without the bytes of a file's content.
  ReadObject read(const git_oid& id) {
    std::size_t size = 0;
    ReadObject found;
    if (git_odb_read_header(&size, &found.type, from_.get(), &id) != 0) fail(id);
    const Bound bound = bound_of(found.type);
    if (size > bound.most) refuse(fmt::format("object {}: {}", oid_text(id), bound.words));
    if (found.type == GIT_OBJECT_BLOB) return found;
    git_odb_object* raw = nullptr;
    if (git_odb_read(&raw, from_.get(), &id) != 0) fail(id);
    const OdbObjectHandle object(raw);
    found.bytes.assign(static_cast<const char*>(git_odb_object_data(raw)), git_odb_object_size(raw));
    return found;
  }

  void add_rows(const std::string& tree, std::vector<git_oid>& below) {
    for (const RawEntry& row : parse_tree(tree).value_or(std::vector<RawEntry>())) {
      if (!row.elsewhere) below.push_back(row.id);
    }
  }

  [[noreturn]] void refuse(const std::string& what) const {
    throw Error(ErrorKind::refused,
                fmt::format("what {} has is refused, and nothing was joined: {}", shown_, what),
                "ask whoever keeps that repository who put it there; nothing here has changed");
  }

  [[noreturn]] void fail(const git_oid& id) const {
    throw Error(ErrorKind::store, fmt::format("object {} of {} is missing or damaged", oid_text(id), shown_),
                "nothing was joined; run `git fsck` in that repository");
  }

  OdbHandle from_;
  OdbHandle known_in_;
  const Ids& known_;
  const std::string& shown_;
  Ids met_;
  Ids out_;
};

}  // namespace

Ids objects_beyond(git_repository& from, const std::vector<git_oid>& tips, git_repository& known_in,
                   const Ids& known, const std::string& shown) {
  return Beyond(from, known_in, known, shown).find(tips);
}

Ids commits_of(git_repository& repo, const std::vector<git_oid>& tips) {
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, &repo);
  Ids commits;
  Ids met;
  std::vector<git_oid> queue = tips;
  while (!queue.empty()) {
    const git_oid id = queue.back();
    queue.pop_back();
    git_odb_object* raw = nullptr;
    if (!met.insert(id).second || git_odb_read(&raw, odb.get(), &id) != 0) continue;
    const OdbObjectHandle object(raw);
    const std::string_view bytes(static_cast<const char*>(git_odb_object_data(raw)),
                                 git_odb_object_size(raw));
    if (git_odb_object_type(raw) == GIT_OBJECT_COMMIT) {
      commits.insert(id);
      if (const auto commit = parse_commit(id, bytes))
        queue.insert(queue.end(), commit->parents.begin(), commit->parents.end());
    } else if (git_odb_object_type(raw) == GIT_OBJECT_TAG) {
      if (const auto tag = parse_tag(bytes)) queue.push_back(tag->target);
    }
  }
  return commits;
}

}  // namespace keepway::store
