#include "git/pack_by_path.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <queue>
#include <string>
#include <utility>
#include <vector>

#include "git/delta.hpp"
#include "git/read_object.hpp"
#include "git/tree.hpp"

namespace keepway::store {
namespace {

// Of deltas. Git packs to 50 by itself, since it reads any object as often as any other; here the newest are
// whole or nearly so, and the hundredth of a chain is a backup of months ago.
constexpr std::size_t max_chain = 250;
constexpr std::size_t small = 4096;  // below this, both forms are made and the smaller one taken

// What was at one path, the newest first.
struct Chain {
  git_object_t type = GIT_OBJECT_BLOB;
  std::vector<git_oid> ids;
};

// Commits with each before its parents, and the newest first where that leaves a choice. The times alone do
// not tell: a drawer's backups are all taken in at one.
class NewestFirst {
 public:
  void add(const git_oid& id, CommitHandle commit) {
    for (unsigned i = 0; i < git_commit_parentcount(commit.get()); ++i)
      ++children_[*git_commit_parent_id(commit.get(), i)];
    commits_.emplace(id, std::move(commit));
  }
  std::vector<const git_commit*> order() {
    std::priority_queue<const git_commit*, std::vector<const git_commit*>, Older> ready;
    for (const auto& [id, commit] : commits_) {
      if (!children_.contains(id)) ready.push(commit.get());
    }
    std::vector<const git_commit*> out;
    while (!ready.empty()) {
      const git_commit* commit = ready.top();
      ready.pop();
      out.push_back(commit);
      for (unsigned i = 0; i < git_commit_parentcount(commit); ++i) {
        const git_oid& parent = *git_commit_parent_id(commit, i);
        const auto found = commits_.find(parent);
        if (--children_[parent] == 0 && found != commits_.end()) ready.push(found->second.get());
      }
    }
    return out;
  }

 private:
  struct Older {
    bool operator()(const git_commit* a, const git_commit* b) const {
      if (git_commit_time(a) != git_commit_time(b)) return git_commit_time(a) < git_commit_time(b);
      return git_oid_cmp(git_commit_id(a), git_commit_id(b)) < 0;
    }
  };
  std::map<git_oid, CommitHandle, OidLess> commits_;
  std::map<git_oid, std::size_t, OidLess> children_;
};

// Sorts objects into chains by walking the trees of the commits among them.
class Chains {
 public:
  Chains(git_repository& repo, git_odb& odb, const Ids& ids) : repo_(repo), left_(ids) {
    NewestFirst commits;
    for (const git_oid& id : ids) {
      std::size_t size = 0;
      git_object_t type = GIT_OBJECT_INVALID;
      check(git_odb_read_header(&size, &type, &odb, &id), "read an object");
      if (type == GIT_OBJECT_COMMIT)
        commits.add(id, take<CommitHandle>("read a commit", git_commit_lookup, &repo_, &id));
      if (type == GIT_OBJECT_TAG) put("", type, id);
    }
    for (const git_commit* commit : commits.order()) {
      put("", GIT_OBJECT_COMMIT, *git_commit_id(commit));
      tree(*git_commit_tree_id(commit), "/", 0);
    }
  }
  [[nodiscard]] const std::map<std::string, Chain>& chains() const { return chains_; }
  // What no commit among the objects leads to.
  [[nodiscard]] const Ids& left() const { return left_; }

 private:
  bool put(const std::string& path, git_object_t type, const git_oid& id) {
    if (left_.erase(id) == 0) return false;
    Chain& chain = chains_[fmt::format("{} {}", static_cast<int>(type), path)];
    chain.type = type;
    chain.ids.push_back(id);
    return true;
  }
  void tree(const git_oid& id, const std::string& path, std::size_t depth) {
    if (depth > max_tree_depth || !put(path, GIT_OBJECT_TREE, id)) return;
    const auto handle = take<TreeHandle>("read a tree", git_tree_lookup, &repo_, &id);
    for (std::size_t i = 0; i < git_tree_entrycount(handle.get()); ++i) {
      const git_tree_entry* entry = git_tree_entry_byindex(handle.get(), i);
      const git_oid& below = *git_tree_entry_id(entry);
      if (!left_.contains(below)) continue;
      const std::string whole = path + git_tree_entry_name(entry);
      if (git_tree_entry_type(entry) == GIT_OBJECT_TREE) {
        tree(below, whole + '/', depth + 1);
      } else {
        put(whole, GIT_OBJECT_BLOB, below);
      }
    }
  }

  git_repository& repo_;
  Ids left_;
  std::map<std::string, Chain> chains_;
};

class Writer {
 public:
  Writer(git_odb& odb, const std::filesystem::path& folder, std::size_t count, Compression compression)
      : odb_(odb), pack_(folder, count), compression_(compression) {}

  void add(const Chain& chain) {
    std::optional<ReadObject> newer;
    std::size_t depth = 0;
    for (const git_oid& id : chain.ids) {
      ReadObject object = read_object(odb_, id, "read an object");
      const auto delta = newer && depth < max_chain ? delta_of(id, newer->bytes, object) : std::nullopt;
      depth = delta ? depth + 1 : 0;
      put(delta ? *delta : whole(id, object));
      newer = std::move(object);
    }
  }
  void add(const git_oid& id) { put(whole(id, read_object(odb_, id, "read an object"))); }
  PackFile finish(PackHold* hold) { return pack_.finish(hold); }

 private:
  [[nodiscard]] PackedObject whole(const git_oid& id, const ReadObject& object) const {
    return pack_object(id, object.type, object.bytes, compression_);
  }
  // From the object added last; nullopt when the object is smaller by itself.
  [[nodiscard]] std::optional<PackedObject> delta_of(const git_oid& id, std::string_view base,
                                                     const ReadObject& object) const {
    const std::string_view bytes = object.bytes;
    const auto delta = make_delta(base, bytes, bytes.size() / 2);
    if (!delta) return std::nullopt;
    PackedObject packed = pack_delta(id, *delta, count_ - 1, compression_);
    if (bytes.size() < small && packed.stream.size() >= whole(id, object).stream.size()) return std::nullopt;
    return packed;
  }
  void put(const PackedObject& object) {
    pack_.add(object);
    ++count_;
  }

  git_odb& odb_;
  PackWriter pack_;
  Compression compression_;
  std::size_t count_ = 0;
};

}  // namespace

PackFile pack_by_path(git_repository& repo, const std::filesystem::path& folder, const Ids& ids,
                      Compression compression, PackHold* hold) {
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, &repo);
  const Chains sorted(repo, *odb, ids);
  Writer writer(*odb, folder, ids.size(), compression);
  for (const auto& [path, chain] : sorted.chains()) writer.add(chain);
  for (const git_oid& id : sorted.left()) writer.add(id);
  return writer.finish(hold);
}

// In the order they lie in, so that a delta's base has just been read.
void read_back(const PackFile& pack, const Ids& ids) {
  const auto odb = take<OdbHandle>("open a pack", git_odb_new);
  git_odb_backend* backend = nullptr;
  check(git_odb_backend_one_pack(&backend, (pack.stem.string() + ".idx").c_str()), "open a pack");
  check(git_odb_add_backend(odb.get(), backend, 1), "open a pack");
  auto entries = read_pack_index(pack).value_or(std::vector<PackEntry>());
  std::sort(entries.begin(), entries.end(),
            [](const PackEntry& a, const PackEntry& b) { return a.offset < b.offset; });
  Ids there;
  for (const PackEntry& entry : entries) {
    take<OdbObjectHandle>("read an object back", git_odb_read, odb.get(), &entry.id);
    there.insert(entry.id);
  }
  if (std::includes(there.begin(), there.end(), ids.begin(), ids.end(), OidLess())) return;
  throw Error(ErrorKind::store, "the new pack does not hold all it should, and the old ones are kept",
              "run `git fsck` in the machine's folder");
}

}  // namespace keepway::store
