#include "store/worktree.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>

#include "base/parallel.hpp"
#include "git/path.hpp"
#include "git/read_object.hpp"

namespace keepway::store {
namespace {

constexpr const char* pending_name = "keepway.pending";

bool ours(std::string_view path, const std::vector<std::string>& folders) {
  return std::any_of(folders.begin(), folders.end(),
                     [&](const std::string& folder) { return lies_in(path, clean_prefix(folder)); });
}

// The part of a file's stat that an index entry holds; Git compares it to tell that a file has not changed.
void set_stat(git_index_entry& entry, const struct stat& found) {
  entry.ctime = {static_cast<std::int32_t>(found.st_ctim.tv_sec),
                 static_cast<std::uint32_t>(found.st_ctim.tv_nsec)};
  entry.mtime = {static_cast<std::int32_t>(found.st_mtim.tv_sec),
                 static_cast<std::uint32_t>(found.st_mtim.tv_nsec)};
  entry.dev = static_cast<std::uint32_t>(found.st_dev);
  entry.ino = static_cast<std::uint32_t>(found.st_ino);
  entry.uid = found.st_uid;
  entry.gid = found.st_gid;
  entry.file_size = static_cast<std::uint32_t>(found.st_size);
}

// Whether the file is surely the one that the entry was made from. A file as young as the index itself
// may have changed within the clock's tick ("racy git"), so it does not count.
bool unchanged(const git_index_entry& entry, const struct stat& found, const struct timespec& index_time) {
  git_index_entry now{};
  set_stat(now, found);
  const auto older = [](const struct timespec& a, const struct timespec& b) {
    return a.tv_sec != b.tv_sec ? a.tv_sec < b.tv_sec : a.tv_nsec < b.tv_nsec;
  };
  return S_ISREG(found.st_mode) && now.mtime.seconds == entry.mtime.seconds &&
         now.mtime.nanoseconds == entry.mtime.nanoseconds && now.ctime.seconds == entry.ctime.seconds &&
         now.ctime.nanoseconds == entry.ctime.nanoseconds && now.ino == entry.ino &&
         now.file_size == entry.file_size && older(found.st_mtim, index_time);
}

// Walks two lists in path order side by side; either side is null where the other has a path alone.
template <typename Visit>
void side_by_side(std::span<const TreeEntry> before, std::span<const TreeEntry> after, Visit visit) {
  auto b = before.begin();
  auto a = after.begin();
  while (b != before.end() || a != after.end()) {
    if (a == after.end() || (b != before.end() && b->path < a->path)) {
      visit(&*b++, static_cast<const TreeEntry*>(nullptr));
    } else if (b == before.end() || a->path < b->path) {
      visit(static_cast<const TreeEntry*>(nullptr), &*a++);
    } else {
      visit(&*b++, &*a++);
    }
  }
}

}  // namespace

struct WorkTree::Change {
  const TreeEntry* before;
  const TreeEntry& after;
  bool ours;
  struct timespec index_time;
};

// A file to be written, and what the index is to say of it.
struct WorkTree::Write {
  const TreeEntry& file;
  git_index_entry entry;
  bool ours;
  std::optional<Error> trouble;  // why it was not written
};

WorkTree::WorkTree(git_repository& repo, std::filesystem::path folder)
    : repo_(repo), disk_(std::move(folder)), git_folder_(git_repository_path(&repo)) {}

std::optional<Pending> WorkTree::pending() const {
  Folder git(git_folder_);
  const auto text = git.read(pending_name);
  if (!text) return std::nullopt;
  Pending pending;
  std::size_t begin = 0;
  for (std::size_t end = text->find('\0'); end != std::string::npos; end = text->find('\0', begin)) {
    const std::string part = text->substr(begin, end - begin);
    git_oid id{};
    if (begin != 0) {
      pending.folders.push_back(part);
    } else if (part.size() == sizeof id.id * 2 && git_oid_fromstr(&id, part.c_str()) == 0) {
      pending.before = id;
    }
    begin = end + 1;
  }
  return pending;
}

void WorkTree::set_pending(const Pending& pending) const {
  std::string text = pending.before ? oid_text(*pending.before) : "none";
  text += '\0';
  for (const std::string& folder : pending.folders) text.append(folder) += '\0';
  Folder git(git_folder_);
  git.write(pending_name, text, false, &git);
}

void WorkTree::clear_pending() const {
  const std::string path = (git_folder_ / pending_name).string();
  if (::unlink(path.c_str()) != 0 && errno != ENOENT) fail_disk(errno, "remove " + path);
}

std::vector<TreeEntry> WorkTree::files_of(const std::optional<git_oid>& commit) const {
  if (!commit) return {};
  const auto handle = take<CommitHandle>("read a commit", git_commit_lookup, &repo_, &*commit);
  return list_files(repo_, *git_commit_tree_id(handle.get()), "");
}

std::optional<git_oid> WorkTree::standing(const std::string& path) {
  const auto bytes = disk_.read(path);
  if (!bytes) return std::nullopt;
  git_oid id{};
  check(git_odb_hash(&id, bytes->data(), bytes->size(), GIT_OBJECT_BLOB), "hash a file");
  return id;
}

// Whether a file may be other than it was by a power cut alone. What lies below originals/ and state/ only
// shows what is stored and is not synced: a cut leaves an older content, or the beginning of the new one,
// with zero bytes behind it on some file systems. Either is stored, so that nothing is lost with it.
bool WorkTree::is_left_by_cut(const TreeEntry& was) {
  if (!lies_in(was.path, "originals") && !lies_in(was.path, "state")) return false;
  const auto bytes = disk_.read(was.path);
  if (!bytes) return false;
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, &repo_);
  git_oid id{};
  check(git_odb_hash(&id, bytes->data(), bytes->size(), GIT_OBJECT_BLOB), "hash a file");
  if (git_odb_exists(odb.get(), &id) != 0) return true;
  const std::string_view begun = std::string_view(*bytes).substr(0, bytes->find_last_not_of('\0') + 1);
  return read_object(repo_, was.id, "read " + was.path).bytes.starts_with(begun);
}

// The index by itself, without its repository: libgit2 would read and hash each new file again on writing.
IndexHandle WorkTree::open_index(bool& rebuild) const {
  const std::string path = (git_folder_ / "index").string();
  rebuild = ::access(path.c_str(), F_OK) != 0;
  git_index* raw = nullptr;
  if (git_index_open(&raw, path.c_str()) == 0) return IndexHandle(raw);
  // Damaged: nothing in it cannot be made again.
  rebuild = true;
  if (::unlink(path.c_str()) != 0) fail_disk(errno, "replace " + path);
  return take<IndexHandle>("make the index", git_index_open, path.c_str());
}

void WorkTree::drop(git_index& index, const TreeEntry& old, bool is_ours) {
  git_index_remove(&index, old.path.c_str(), 0);
  const auto as_it_was = [&] {
    const auto now = standing(old.path);
    return now && same(*now, old.id);
  };
  if (is_ours || as_it_was() || is_left_by_cut(old)) disk_.remove(old.path);
}

std::optional<WorkTree::Write> WorkTree::put(git_index& index, const Change& change) {
  const TreeEntry& after = change.after;
  Write write{after, {}, change.ours, std::nullopt};
  write.entry.id = after.id;
  write.entry.mode = after.executable ? GIT_FILEMODE_BLOB_EXECUTABLE : GIT_FILEMODE_BLOB;
  write.entry.path = after.path.c_str();

  // What comes to a file of ours between the look and this is as what comes right after: its owner's to see.
  const auto found = disk_.look(after.path);
  const git_index_entry* old = git_index_get_bypath(&index, after.path.c_str(), 0);
  if (old != nullptr && found && same(old->id, after.id) && old->mode == write.entry.mode &&
      unchanged(*old, *found, change.index_time)) {
    return std::nullopt;
  }
  if (found && !change.ours) {
    const auto now = standing(after.path);
    const bool there = now && same(*now, after.id);
    if (there) set_stat(write.entry, *found);
    // Edited by hand: an entry without stat has Git look at the file itself.
    const auto as_it_was = [&] { return same(*now, change.before->id) || is_left_by_cut(*change.before); };
    if (there || !now || change.before == nullptr || !as_it_was()) {
      enter(index, write.entry);
      return std::nullopt;
    }
  }
  return write;
}

void WorkTree::enter(git_index& index, const git_index_entry& entry) {
  check(git_index_add(&index, &entry), fmt::format("put {} into the index", entry.path));
}

void WorkTree::write(Write& what, Folder& disk, std::span<const TreeFile> fresh) const {
  const std::string& path = what.file.path;
  // A hand-edited file that is being taken up must not be lost half-way.
  std::optional<Folder> git;
  if (!what.ours) git.emplace(git_folder_);
  const auto put_bytes = [&](std::string_view bytes) {
    set_stat(what.entry, disk.write(path, bytes, what.file.executable, git ? &*git : nullptr));
  };
  try {
    const auto given =
        std::lower_bound(fresh.begin(), fresh.end(), path,
                         [](const TreeFile& file, const std::string& one) { return file.path < one; });
    if (given != fresh.end() && given->path == path) {
      put_bytes(given->bytes);
    } else {
      put_bytes(read_object(repo_, what.file.id, "read " + path).bytes);
    }
  } catch (const Error& error) {
    what.trouble = error;
  }
}

// Many on two threads, from both ends: those that make files in one folder wait for each other.
void WorkTree::write_all(std::vector<Write>& writes, std::span<const TreeFile> fresh,
                         const OnProgress& on_progress) {
  Count count(on_progress, "files put in the machine's folder", writes.size());
  constexpr std::size_t block = 32;
  constexpr std::size_t worth_a_thread = 8;
  if (writes.size() <= block) {
    for (Write& one : writes) {
      write(one, disk_, fresh);
      count.one();
    }
    return;
  }
  const std::size_t blocks = (writes.size() + block - 1) / block;
  in_parallel(blocks, blocks >= worth_a_thread, [&](std::size_t n) {
    Folder disk(disk_.path());
    const std::size_t first = (n % 2 == 0 ? n / 2 : blocks - 1 - n / 2) * block;
    for (std::size_t i = first; i < std::min(writes.size(), first + block); ++i) {
      write(writes[i], disk, fresh);
      count.one();
    }
  });
}

void WorkTree::bring(const std::optional<git_oid>& before, const git_oid& after,
                     const std::vector<std::string>& folders, std::span<const TreeFile> fresh,
                     std::span<const TreeEntry> known, const OnProgress& on_progress) {
  const std::vector<TreeEntry> listed = known.empty() ? files_of(before) : std::vector<TreeEntry>();
  const std::span<const TreeEntry> old_files = known.empty() ? listed : known;
  const std::vector<TreeEntry> new_files = files_of(after);
  // Before anything is written: a tree that a stranger made may have come this far by another program.
  for (const TreeEntry& file : new_files) require_clean_path(file.path);
  bool rebuild = false;
  const IndexHandle index = open_index(rebuild);
  struct stat index_stat {};
  if (::stat((git_folder_ / "index").c_str(), &index_stat) != 0) index_stat.st_mtim = {};

  std::optional<Error> trouble;
  const auto attempt = [&](auto step) {
    try {
      step();
    } catch (const Error& error) {
      if (!trouble) trouble = error;
    }
  };
  // What goes, goes first: it may be a file where a folder must come.
  side_by_side(old_files, new_files, [&](const TreeEntry* was, const TreeEntry* is) {
    if (is == nullptr) attempt([&] { drop(*index, *was, ours(was->path, folders)); });
  });
  std::vector<std::string> strays;  // entries of our folders that the tip does not have
  for (std::size_t i = 0; i < git_index_entrycount(index.get()); ++i) {
    const std::string path = git_index_get_byindex(index.get(), i)->path;
    if (!ours(path, folders)) continue;
    const auto at =
        std::lower_bound(new_files.begin(), new_files.end(), path,
                         [](const TreeEntry& entry, const std::string& p) { return entry.path < p; });
    if (at == new_files.end() || at->path != path) strays.push_back(path);
  }
  for (const std::string& path : strays) git_index_remove_bypath(index.get(), path.c_str());
  std::vector<Write> writes;
  side_by_side(old_files, new_files, [&](const TreeEntry* was, const TreeEntry* is) {
    if (is == nullptr) return;
    const bool mine = ours(is->path, folders);
    const bool same_file = was != nullptr && same(was->id, is->id) && was->executable == is->executable;
    if (same_file && !mine && !rebuild) return;
    attempt([&] {
      if (auto write = put(*index, {was, *is, mine, index_stat.st_mtim})) writes.push_back(std::move(*write));
    });
  });
  write_all(writes, fresh, on_progress);
  for (const Write& one : writes) {
    attempt([&] { enter(*index, one.entry); });
    if (one.trouble && !trouble) trouble = one.trouble;
  }
  check(git_index_write(index.get()), "write the index");
  if (trouble) throw *trouble;  // NOLINT(misc-throw-by-value-catch-by-reference)
}

void WorkTree::require_untouched(const std::optional<git_oid>& before, const git_oid& after) {
  side_by_side(files_of(before), files_of(after), [&](const TreeEntry* was, const TreeEntry* is) {
    if (was != nullptr && is != nullptr && same(was->id, is->id)) return;
    const std::string& path = is != nullptr ? is->path : was->path;
    if (!disk_.look(path)) return;
    const auto now = standing(path);
    if (now && ((was != nullptr && same(*now, was->id)) || (is != nullptr && same(*now, is->id)))) return;
    if (was != nullptr && is_left_by_cut(*was)) return;
    throw Error(
        ErrorKind::refused, fmt::format("{} was edited by hand, and the edit would be lost", printable(path)),
        fmt::format("store it first: keepway sync, or a commit with Git in {}; what is not wanted, copy "
                    "elsewhere before you put the file back",
                    printable(disk_.path().string())));
  });
}

}  // namespace keepway::store
