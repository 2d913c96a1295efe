#include "sync/folder_remote.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "git/folder.hpp"
#include "git/objects_beyond.hpp"
#include "git/pack_by_path.hpp"
#include "git/strange_folder.hpp"

namespace keepway::store {
namespace {

namespace fs = std::filesystem;

constexpr const char* has_moved = "it moved meanwhile";

// %41 is A.
std::string without_escapes(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    unsigned byte = 0;
    const char* const digits = text.data() + i + 1;
    if (text[i] == '%' && i + 2 < text.size() &&
        std::from_chars(digits, digits + 2, byte, 16).ptr == digits + 2) {
      out += static_cast<char>(byte);
      i += 2;
    } else {
      out += text[i];
    }
  }
  return out;
}

std::vector<git_oid> ids_of(const RefMap& refs) {
  std::vector<git_oid> ids;
  for (const auto& [ref, id] : refs) ids.push_back(id);
  return ids;
}

RefMap refs_of(git_repository& repo) {
  const auto iterator = take<RefIteratorHandle>("list the refs", git_reference_iterator_new, &repo);
  RefMap out;
  while (true) {
    git_reference* raw = nullptr;
    const int code = git_reference_next(&raw, iterator.get());
    if (code == GIT_ITEROVER) return out;
    check(code, "list the refs");
    const RefHandle ref(raw);
    const std::string name = git_reference_name(raw);
    git_reference* resolved = nullptr;
    const int found = git_reference_resolve(&resolved, raw);
    const RefHandle end(resolved);
    if (found < 0 && is_synced(name)) check(found, fmt::format("read the ref {}", printable(name)));
    if (found == 0) out[name] = *git_reference_target(resolved);
    if (out.size() > max_refs) return out;  // which are refused then
  }
}

// Nullptr for a ref that is where it is to be.
const char* put(git_repository& repo, const RefPush& push, const std::optional<git_oid>& was) {
  git_reference* raw = nullptr;
  int code = 0;
  if (!push.to) {
    code = git_reference_lookup(&raw, &repo, push.ref.c_str());
    const RefHandle found(raw);
    const git_oid* const target = code == 0 ? git_reference_target(raw) : nullptr;
    if (target == nullptr || !was || !same(*target, *was)) return has_moved;
    code = git_reference_delete(raw);
  } else if (was) {
    code = git_reference_create_matching(&raw, &repo, push.ref.c_str(), &*push.to, 1, &*was, "push");
    const RefHandle moved(raw);
  } else {
    code = git_reference_create(&raw, &repo, push.ref.c_str(), &*push.to, 0, "push");
    const RefHandle made(raw);
  }
  if (code == GIT_EMODIFIED || code == GIT_EEXISTS || code == GIT_ENOTFOUND) return has_moved;
  check(code, "move " + push.ref + " there");
  return nullptr;
}

}  // namespace

std::optional<fs::path> FolderRemote::named_by(std::string_view url) {
  constexpr std::string_view scheme = "file://";
  constexpr std::string_view this_host = "localhost/";
  std::string path(url);
  if (url.starts_with(scheme)) {
    url.remove_prefix(scheme.size());
    if (url.starts_with(this_host)) url.remove_prefix(this_host.size() - 1);
    if (!url.starts_with('/'))
      throw Error(ErrorKind::usage, "a file:// address that names another computer cannot be reached",
                  "mount that computer's folder here, and give the folder");
    return without_escapes(url);  // nothing else may come to it
  }
  std::error_code absent;
  if (fs::is_directory(path, absent)) return fs::path(path);
  if (path.find(':') == std::string::npos) {
    throw Error(
        ErrorKind::store, fmt::format("there is no folder {}", printable(path)),
        "check the path, and that its disk or share is mounted; a new one is made with git init --bare");
  }
  return std::nullopt;
}

FolderRemote::FolderRemote(fs::path folder, std::string shown)
    : folder_(std::move(folder)), shown_(std::move(shown)), git_folder_(plain_git_folder(folder_, shown_)) {}

git_repository& FolderRemote::look() {
  there_ = open_strange_folder_whole(folder_, shown_);
  return *there_;
}

RefMap FolderRemote::refs() {
  known_ = refs_of(look());
  return known_;
}

void FolderRemote::fetch(git_repository& here, const std::vector<std::string>& refs, const fs::path& packs) {
  git_repository& there = there_ ? *there_ : look();
  std::vector<git_oid> tips;
  tips.reserve(refs.size());
  for (const std::string& ref : refs) tips.push_back(known_.at(ref));
  const Ids ours = commits_of(here, ids_of(refs_of(here)));
  const Ids ids = objects_beyond(there, tips, here, ours, shown_);
  if (!ids.empty()) pack_by_path(there, packs, ids, Compression::fast);
}

std::vector<Rejection> FolderRemote::push(git_repository& from, const std::vector<RefPush>& refs) {
  if (git_repository_is_bare(there_ ? there_.get() : &look()) == 0) {
    throw Error(
        ErrorKind::store, fmt::format("cannot push to {}: it has a work tree of its own", shown_),
        "sync both PCs with a folder between them: git init --bare FOLDER.git, then keepway sync MACHINE "
        "--to FOLDER.git on each");
  }
  const RefMap now = refs_of(*there_);
  std::vector<Rejection> rejected;
  std::vector<git_oid> tips;
  for (const RefPush& each : refs) {
    const auto was = at(now, each.ref);
    const auto before = at(known_, each.ref);
    const bool stayed = was.has_value() == before.has_value() && (!was || same(*was, *before));
    const bool behind = !each.to || !was || !each.ref.starts_with("refs/heads/") || same(*was, *each.to) ||
                        git_graph_descendant_of(&from, &*each.to, &*was) == 1;
    if (!stayed || !behind) rejected.push_back({printable(each.ref), has_moved});
    if (each.to) tips.push_back(*each.to);
  }
  if (!rejected.empty()) return rejected;
  const Ids ids = objects_beyond(from, tips, from, commits_of(from, ids_of(now)), "this machine");
  PackHold hold;
  if (!ids.empty()) {
    const fs::path packs = git_folder_ / "objects" / "pack";
    std::error_code failed;
    if (fs::create_directory(packs, failed)) sync_folder(packs.parent_path());
    if (failed) fail_disk(failed.value(), "make the folder " + packs.string());
    pack_by_path(from, packs, ids, Compression::fast, &hold);
    look();  // which sees it
  }
  for (const RefPush& each : refs) {
    if (const char* reason = put(*there_, each, at(now, each.ref))) {
      rejected.push_back({printable(each.ref), reason});
    } else if (each.to) {
      known_[each.ref] = *each.to;
    } else {
      known_.erase(each.ref);
    }
  }
  return rejected;
}

}  // namespace keepway::store
