// Mending: objects and refs taken from another clone, where their digests fit.
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <deque>

#include "audit/pack_indexes.hpp"
#include "audit/verify.hpp"
#include "git/folder.hpp"
#include "git/form.hpp"
#include "git/guard.hpp"
#include "git/pack.hpp"
#include "git/raw_object.hpp"
#include "git/strange_folder.hpp"
#include "sync/check_received.hpp"
#include "sync/checked_packs.hpp"
#include "sync/sync_remote.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

std::string address_of(const std::string& from, const fs::path& git_folder) {
  git_repository* raw = nullptr;
  if (git_repository_open_ext(&raw, git_folder.c_str(), GIT_REPOSITORY_OPEN_NO_SEARCH, nullptr) != 0)
    return from;
  const RepoHandle repo(raw);
  git_remote* found = nullptr;
  if (git_remote_lookup(&found, raw, from.c_str()) != 0) return from;
  const RemoteHandle remote(found);
  const char* url = git_remote_url(found);
  return url != nullptr ? url : from;
}

// What an object needs to be of use.
std::vector<git_oid> needs(git_object_t type, const git_oid& id, const std::string& bytes) {
  std::vector<git_oid> out;
  if (type == GIT_OBJECT_COMMIT) {
    if (const auto commit = parse_commit(id, bytes)) {
      out = commit->parents;
      out.push_back(commit->tree);
    }
  } else if (type == GIT_OBJECT_TREE) {
    for (const RawEntry& entry : parse_tree(bytes).value_or(std::vector<RawEntry>())) {
      if (!entry.elsewhere) out.push_back(entry.id);
    }
  } else if (type == GIT_OBJECT_TAG) {
    if (const auto tag = parse_tag(bytes)) out.push_back(tag->target);
  }
  return out;
}

// All refs of a remote with their objects, reached as sync reaches it: with its credentials, and the same
// distrust.
void bring_all(git_repository& into, const std::string& address) {
  const SyncOptions options;
  Remote remote(into, address, options);
  std::map<std::string, git_oid> refs = remote.refs();
  std::erase_if(refs, [](const auto& ref) {
    int valid = 0;
    return !ref.first.starts_with("refs/") || git_reference_name_is_valid(&valid, ref.first.c_str()) != 0 ||
           valid == 0;
  });
  std::vector<std::string> names;
  names.reserve(refs.size());
  for (const auto& [name, id] : refs) names.push_back(name);
  const fs::path objects = fs::path(git_repository_commondir(&into)) / "objects";
  check_packs_that_come(*take<OdbHandle>("open the objects", git_repository_odb, &into), objects);
  if (!names.empty()) remote.fetch(names, objects / "pack");
  for (const auto& [name, id] : refs) {
    take<RefHandle>("set " + printable(name), git_reference_create, &into, name.c_str(), &id, 1,
                    static_cast<const char*>(nullptr));
  }
}

}  // namespace

Donor::Donor(const std::string& from, const fs::path& git_folder) {
  start_library();
  const std::string address = address_of(from, git_folder);
  std::error_code failed;
  if (fs::is_directory(address, failed)) {
    repo_ = open_strange_folder(address, address);
    if (fs::equivalent(git_repository_commondir(repo_.get()), git_folder, failed)) {
      throw Error(ErrorKind::usage, "a repository cannot be repaired from itself",
                  "name another clone or a remote");
    }
  } else {
    passing_.emplace(git_folder / "keepway" / fmt::format("from-{}", ::getpid()));
    repo_ =
        take<RepoHandle>("make a temporary repository", git_repository_init, passing_->path().c_str(), 1U);
    bring_all(*repo_, address);
    guard(*repo_, max_file);
  }
  odb_ = take<OdbHandle>("open the clone's objects", git_repository_odb, repo_.get());
}

Donor::~Donor() = default;

std::optional<std::pair<git_object_t, std::string>> Donor::object(const git_oid& id) const {
  std::size_t size = 0;
  git_object_t type = GIT_OBJECT_INVALID;
  if (git_odb_read_header(&size, &type, odb_.get(), &id) != 0 || size > max_file) return std::nullopt;
  git_odb_object* raw = nullptr;
  if (git_odb_read(&raw, odb_.get(), &id) != 0) return std::nullopt;
  const OdbObjectHandle object(raw);
  git_oid again{};
  type = git_odb_object_type(raw);
  if (git_odb_hash(&again, git_odb_object_data(raw), git_odb_object_size(raw), type) != 0 ||
      git_oid_equal(&again, &id) == 0) {
    return std::nullopt;
  }
  return std::pair{type,
                   std::string(static_cast<const char*>(git_odb_object_data(raw)), git_odb_object_size(raw))};
}

std::optional<git_oid> Donor::tip(const std::string& name) const {
  git_oid id{};
  if (git_reference_name_to_id(&id, repo_.get(), name.c_str()) != 0) return std::nullopt;
  // Where a line ends is the clone's word alone: no digest of ours says that it is right.
  const ReceiveRules rules{true, {}, {}};
  require_names({{name, id}}, {}, "the clone");
  (void)require_harmless(*repo_, {{name, id}}, {}, "the clone", rules);
  return id;
}

std::vector<std::string> repair_objects(const fs::path& git_folder, const Objects& objects, const Ids& wanted,
                                        const Donor& donor) {
  std::vector<std::string> done;
  std::vector<PackedObject> packed;
  Ids seen;
  Ids had_now;  // what the new pack holds
  std::size_t brought = 0;
  std::deque<git_oid> queue(wanted.begin(), wanted.end());
  queue.insert(queue.end(), objects.damaged().begin(), objects.damaged().end());
  while (!queue.empty()) {
    const git_oid id = queue.front();
    queue.pop_front();
    if (objects.whole(id) || !seen.insert(id).second) continue;
    const auto found = donor.object(id);
    if (!found) continue;
    packed.push_back(pack_object(id, found->first, found->second));
    had_now.insert(id);
    ++brought;
    for (const git_oid& need : needs(found->first, id, found->second)) queue.push_back(need);
  }
  // A damaged pack goes as a whole: what in it is whole goes along to the new one.
  std::size_t saved = 0;
  for (const BadFile& bad : objects.bad_files()) {
    for (const git_oid& id : bad.ids) {
      if (!objects.whole(id) || !seen.insert(id).second) continue;
      packed.push_back(pack_object(id, *objects.type(id), objects.read(id)));
      had_now.insert(id);
      ++saved;
    }
  }
  if (!packed.empty()) {
    const fs::path folder = git_folder / "objects" / "pack";
    std::error_code failed;
    if (fs::create_directory(folder, failed)) sync_folder(folder.parent_path());
    write_pack(folder, packed);
    done.push_back(fmt::format("{} object(s) copied from the clone", brought));
    if (saved > 0) done.push_back(fmt::format("{} intact object(s) of damaged packs saved", saved));
  }
  for (const BadFile& bad : objects.bad_files()) {
    if (!bad.path.string().starts_with(git_folder.string() + '/')) continue;  // another repository's
    const std::string shown = printable(bad.path.lexically_relative(git_folder).string());
    if (bad.index_only) {
      make_index(git_folder, bad.path);
      done.push_back(fmt::format("{} rebuilt from its pack", shown));
      continue;
    }
    // As long as one of its objects is nowhere else, a damaged file is better than none.
    const auto had = [&](const git_oid& id) { return had_now.contains(id); };
    const bool all_had = bad.ids.empty() ? std::all_of(wanted.begin(), wanted.end(), had)
                                         : std::all_of(bad.ids.begin(), bad.ids.end(), had);
    if (!all_had) continue;
    set_aside(git_folder, bad.path);
    if (bad.path.extension() == ".pack") set_aside(git_folder, fs::path(bad.path).replace_extension(".idx"));
    done.push_back(fmt::format("{} moved to .git/keepway/damaged", shown));
  }
  return done;
}

std::vector<std::string> repair_frame(const fs::path& git_folder, const Frame& frame, const Objects& objects,
                                      const Donor& donor) {
  std::vector<std::string> done;
  Folder git(git_folder);
  const Folder staging(git_folder);
  bool main_stands = false;
  for (const FoundRef& ref : frame.refs) {
    std::optional<git_oid> id = ref.id && objects.whole(*ref.id) ? ref.id : std::nullopt;
    if (!id) {
      id = ref.logged && objects.whole(*ref.logged) ? ref.logged : donor.tip(ref.name);
      if (id && (objects.whole(*id) || donor.object(*id))) {
        git.write(ref.name, oid_text(*id) + "\n", false, &staging);
        done.push_back(fmt::format("{} set to {}", printable(ref.name), oid_text(*id)));
      }
    }
    if (ref.name == "refs/heads/main") main_stands = id.has_value();
  }
  if (!frame.head_whole && main_stands) {
    git.write("HEAD", "ref: refs/heads/main\n", false, &staging);
    done.emplace_back("HEAD points to the machine's own branch, main, again");
  }
  return done;
}

}  // namespace keepway::store
