// Reading a repository's files without trusting any: the part of an audit that knows Git's formats and
// nothing of backups. Sources of the formats: Git's gitformat-pack(5), gitformat-index(5),
// gitrepository-layout(5).
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "git/folder.hpp"
#include "git/git.hpp"
#include "git/objects.hpp"
#include "keepway/audit.hpp"

namespace keepway::store {

using Findings = std::vector<Finding>;

inline constexpr std::string_view heads = "refs/heads/";  // where branches are

// A file of objects that is not whole, with the objects that it should hold as far as they are known.
struct BadFile {
  std::filesystem::path path;
  std::vector<git_oid> ids;
  bool index_only = false;  // the pack beside it is whole: its index can be made again from it
};

// All objects, each read once from a store opened for this alone, so that no cache answers for the disk.
class Objects {
 public:
  // `tick` is called with how many of how many objects have been read.
  Objects(std::filesystem::path git_folder, Findings& findings,
          const std::function<void(std::size_t, std::size_t)>& tick);

  // The type of an object whose bytes fit its id; nullopt when it is missing or damaged.
  [[nodiscard]] std::optional<git_object_t> type(const git_oid& id) const;
  [[nodiscard]] bool whole(const git_oid& id) const { return whole_.contains(id); }
  // "damaged" or "missing", for an object that is not whole.
  [[nodiscard]] const char* fault(const git_oid& id) const {
    return damaged_.contains(id) ? "damaged" : "missing";
  }
  // Precondition: whole(id). On several threads, one at a time.
  [[nodiscard]] std::string read(const git_oid& id) const;

  [[nodiscard]] std::size_t count() const { return whole_.size(); }
  [[nodiscard]] std::uint64_t bytes() const { return bytes_; }
  [[nodiscard]] const Ids& damaged() const { return damaged_; }
  [[nodiscard]] const std::map<git_oid, git_object_t, OidLess>& all() const { return whole_; }
  [[nodiscard]] const std::vector<BadFile>& bad_files() const { return bad_files_; }

 private:
  void verify_loose(const std::filesystem::path& objects, Findings& findings);
  void verify_packs(const std::filesystem::path& folder, Findings& findings);
  void verify_pack(const std::filesystem::path& index, Findings& findings);
  void note_pack_alone(const std::filesystem::path& pack, Findings& findings);
  void verify_derived(const std::filesystem::path& file, Findings& findings) const;
  void list(const git_oid& id) {
    if (listed_.insert(id).second) in_order_.push_back(id);
  }
  void read_all(const std::function<void(std::size_t, std::size_t)>& tick);

  std::filesystem::path git_folder_;
  OdbHandle odb_;
  mutable std::mutex reading_;
  Ids listed_;
  std::vector<git_oid> in_order_;  // of their places in the packs
  Ids damaged_;
  std::map<git_oid, git_object_t, OidLess> whole_;
  std::uint64_t bytes_ = 0;
  std::vector<BadFile> bad_files_;
};

// What is wrong with a loose object's file, or nullptr. A file whose content is right but whose compressed
// form none of the usual writers gives has `odd` set: a bit may have turned that changes nothing.
const char* loose_fault(const std::string& file, const git_oid& id, bool& odd);

// Whether a file ends with the SHA-1 of all before it, as packs, their indexes and Git's index do. Streams.
// `sum` is given the bytes at the end. False for a file that is too short or cannot be read.
bool ends_with_sum(const std::filesystem::path& file, std::string* sum = nullptr);

// A ref as its file has it.
struct FoundRef {
  std::string name;  // "refs/heads/main"
  std::optional<git_oid> id;
  std::optional<git_oid> logged;       // where the last line of its log has it
  std::optional<git_oid> peeled = {};  // what .git/packed-refs says that a tag stands for
};
struct Frame {
  std::string head;  // the ref that HEAD names; empty when HEAD is not whole or names a commit itself
  bool head_whole = false;
  std::optional<git_oid> head_commit;
  std::vector<FoundRef> refs;  // by name; those not whole have no id
  [[nodiscard]] const FoundRef* ref(std::string_view name) const;
};
// HEAD, refs and their logs, held to the form in which Git and keepway write them.
Frame read_frame(const std::filesystem::path& git_folder, Findings& findings);

// Settings, hooks and remotes against what was written down of them; see settle().
void verify_settings(const std::filesystem::path& git_folder, Findings& findings);

// Another clone, to take objects from.
class Donor {
 public:
  // A folder with a repository, or what Git can fetch from (a remote's name or an address): that is fetched
  // into a passing folder below `git_folder`. Error{store}, Error{usage}.
  Donor(const std::string& from, const std::filesystem::path& git_folder);
  Donor(const Donor&) = delete;
  Donor& operator=(const Donor&) = delete;
  Donor(Donor&&) = delete;
  Donor& operator=(Donor&&) = delete;
  ~Donor();
  // An object's type and bytes, its digest computed again; nullopt when it has none that fits.
  [[nodiscard]] std::optional<std::pair<git_object_t, std::string>> object(const git_oid& id) const;
  // Where a ref of the clone's is. Error{refused} when its history holds what could do harm; see
  // git/form.hpp.
  [[nodiscard]] std::optional<git_oid> tip(const std::string& name) const;

 private:
  std::optional<TemporaryFolder> passing_;  // outlives what is open in it
  RepoHandle repo_;
  OdbHandle odb_;
};

// Repairs objects for one who holds the lock: indexes are made again, whole objects of damaged packs saved,
// `wanted` and what they need taken from the donor. Damaged files are set aside, not removed. Returns what
// was done, for people.
std::vector<std::string> repair_objects(const std::filesystem::path& git_folder, const Objects& objects,
                                        const Ids& wanted, const Donor& donor);
// The same for HEAD and the refs that point at nothing: by their own logs, else as the donor has them.
std::vector<std::string> repair_frame(const std::filesystem::path& git_folder, const Frame& frame,
                                      const Objects& objects, const Donor& donor);

}  // namespace keepway::store
