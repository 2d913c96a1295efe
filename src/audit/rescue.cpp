// Taking out all that can still be had, where commands cannot: by the objects alone, whatever refs say.
#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <map>
#include <tuple>

#include "audit/audit.hpp"
#include "base/durable.hpp"
#include "git/new_folder.hpp"
#include "keepway/media.hpp"
#include "keepway/sha256.hpp"
#include "keepway/small_file.hpp"
#include "keepway/text.hpp"
#include "keepway/time.hpp"
#include "shop/amendments.hpp"
#include "shop/backup_commit.hpp"
#include "shop/digest.hpp"

namespace keepway {
namespace fs = std::filesystem;
namespace {

using store::oid_text;

struct Found {
  git_oid id{};
  store::RawCommit commit;
  Backup backup;
};

// A file's path in a commit, and whether its bytes are there.
struct Part {
  std::string path;
  git_oid id{};
};

class Rescue {
 public:
  Rescue(const store::Objects& objects, fs::path to) : objects_(objects), to_(std::move(to)) {}

  Rescued run() {
    std::vector<Found> found = backups();
    take_marks();
    std::string list =
        "backup\tdate\tcommit\tfolder\toriginals\tmissing\twho\tnote\tmarks\twithdrawn\ttrial\n";
    for (const Found& each : found) list += take_out(each);
    for (const auto& [name, id] : owners_files_) write(to_ / name, objects_.read(id));
    take_unnamed();
    write(to_ / "RESCUED.tsv", list);
    return done_;
  }

 private:
  // Of every commit that is whole, oldest first: one that no line leads to any more is as good.
  std::vector<Found> backups() {
    std::vector<Found> out;
    std::vector<store::CommitInfo> words;
    for (const auto& [id, type] : objects_.all()) {
      if (type != GIT_OBJECT_COMMIT) continue;
      auto commit = store::parse_commit(id, objects_.read(id));
      auto backup = commit ? backup_from_commit(commit->info) : std::nullopt;
      if (commit && amendment_from_commit(commit->info)) words.push_back(commit->info);
      if (backup) out.push_back({id, std::move(*commit), std::move(*backup)});
    }
    // The newest word on a backup is the one that holds.
    std::sort(words.begin(), words.end(), [](const store::CommitInfo& a, const store::CommitInfo& b) {
      return std::tie(a.taken, a.id) > std::tie(b.taken, b.id);
    });
    Amendments amendments;
    for (const store::CommitInfo& each : words) amendments.take(each);
    for (Found& each : out) amendments.apply(each.backup);
    std::sort(out.begin(), out.end(), [](const Found& a, const Found& b) {
      return std::tuple(a.backup.number, a.backup.taken, oid_text(a.id)) <
             std::tuple(b.backup.number, b.backup.taken, oid_text(b.id));
    });
    return out;
  }

  // By the tags themselves: refs may be lost. A mark that was removed may be among them.
  void take_marks() {
    constexpr std::string_view object = "object ";
    for (const auto& [id, type] : objects_.all()) {
      if (type != GIT_OBJECT_TAG) continue;
      const std::string text = objects_.read(id);
      const std::size_t message = text.find("\n\n");
      if (!text.starts_with(object) || message == std::string::npos) continue;
      const std::string commit = text.substr(object.size(), text.find('\n') - object.size());
      const std::string name = text.substr(message + 2, text.find('\n', message + 2) - message - 2);
      marks_[commit].push_back(name);
    }
  }

  // What a folder of files does not say of a backup, so that it can be said again.
  std::string said_of(const Found& each) const {
    const Backup& backup = each.backup;
    const auto marks = marks_.find(oid_text(each.id));
    std::string names;
    if (marks != marks_.end()) {
      for (const std::string& name : marks->second) names += (names.empty() ? "" : ", ") + escape(name);
    }
    return fmt::format("{}\t{}\t{}\t{}\t{}", escape(backup.who), escape(backup.note), names,
                       backup.withdrawn ? "withdrawn: " + escape(backup.withdrawn->why) : "",
                       escape(backup.kept.empty() ? backup.trial : "kept " + backup.kept));
  }

  // Files below a tree; what is not whole goes to `missing`.
  void list(const git_oid& tree, const std::string& path, std::size_t depth, std::vector<Part>& parts,
            std::vector<std::string>& missing) {
    constexpr std::size_t most = 512;
    const auto entries = depth < most && objects_.type(tree) == GIT_OBJECT_TREE
                             ? store::parse_tree(objects_.read(tree))
                             : std::nullopt;
    if (!entries) {
      missing.push_back(path.empty() ? "all of it" : path);
      return;
    }
    named_.insert(tree);
    for (const store::RawEntry& entry : *entries) {
      if (entry.elsewhere) continue;
      if (entry.folder) {
        list(entry.id, path + entry.name + '/', depth + 1, parts, missing);
      } else if (objects_.type(entry.id) == GIT_OBJECT_BLOB) {
        parts.push_back({path + entry.name, entry.id});
      } else {
        missing.push_back(path + entry.name);
      }
    }
  }

  // A line of the list.
  std::string take_out(const Found& each) {
    std::vector<Part> parts;
    std::vector<std::string> missing;
    list(each.commit.tree, "", 0, parts, missing);
    media::Set set;
    std::vector<SummedFile> sums;
    std::vector<std::string> empty_folders;
    for (const Part& part : parts) {
      named_.insert(part.id);
      std::string empty_folder;
      if (!part.path.starts_with("originals/")) continue;
      if (auto name = original_name(part.path, &empty_folder)) {
        std::string bytes = objects_.read(part.id);
        sums.push_back({*name, sha256_hex(bytes)});
        set.files.push_back({std::move(*name), std::move(bytes), each.backup.at});
      } else {
        empty_folders.push_back(std::move(empty_folder));
      }
    }
    set.empty_folders = empty_folders;
    const bool fits = digest_of(sums, empty_folders) == each.backup.digest;
    std::string folder = "-";
    std::size_t& kind = fits ? done_.whole : set.files.empty() ? done_.lost : done_.partly;
    if (!set.files.empty() || fits) {
      // With the time of day, so that nobody takes the id for one.
      const std::string time = format_time(each.backup.at);
      folder = fmt::format("{:04}-{}-{}{}-{}", each.backup.number, time.substr(0, 10), time.substr(11, 2),
                           time.substr(14, 2), oid_text(each.id).substr(0, 8));
      try {
        media::write_folder(set, to_ / folder);
      } catch (const Error& error) {
        if (error.kind() == ErrorKind::store) throw;
        missing.push_back(fmt::format("what could not be written: {}", error.what()));
      }
    }
    ++kind;
    for (const Part& part : parts) {
      if (part.path == "machine.toml" || part.path == "layout.toml" || part.path == "namebook.tsv")
        owners_files_[part.path] = part.id;  // of the newest that has them whole
    }
    std::string names;
    for (const std::string& name : missing) {
      if (name.starts_with("state/")) continue;  // made again from the originals
      names += (names.empty() ? "" : ", ") + escape(name);
    }
    return fmt::format("{}\t{}\t{}\t{}\t{}\t{}\t{}\n", each.backup.number,
                       format_time_rfc3339(each.backup.at), oid_text(each.id), folder,
                       fits ? "whole" : "not whole", names, said_of(each));
  }

  // Contents that nothing whole names any more.
  void take_unnamed() {
    for (const auto& [id, type] : objects_.all()) {
      if (type == GIT_OBJECT_TREE && !named_.contains(id)) {
        std::vector<Part> parts;
        std::vector<std::string> missing;
        list(id, "", 0, parts, missing);
        for (const Part& part : parts) {
          if (named_.insert(part.id).second) keep_unnamed(part.id);
        }
      }
    }
    for (const auto& [id, type] : objects_.all()) {
      if (type == GIT_OBJECT_BLOB && !named_.contains(id)) keep_unnamed(id);
    }
  }
  void keep_unnamed(const git_oid& id) {
    if (!make_folders(to_ / "unnamed")) store::fail_disk(errno, "make a folder in " + to_.string());
    write(to_ / "unnamed" / oid_text(id), objects_.read(id));
    ++done_.unnamed;
  }

  static void write(const fs::path& file, std::string_view bytes) {
    if (write_small_file(file, bytes)) return;
    throw Error(ErrorKind::store, fmt::format("cannot write {}", file.string()),
                "see that the disk is not full, and name a folder on another one");
  }

  const store::Objects& objects_;
  fs::path to_;
  store::Ids named_;
  std::map<std::string, git_oid> owners_files_;
  std::map<std::string, std::vector<std::string>> marks_;  // by commit
  Rescued done_;
};

}  // namespace

Rescued rescue(const fs::path& folder, const fs::path& to, const AuditOptions& options) {
  store::start_library();
  std::error_code failed;
  if (!fs::is_directory(folder / ".git", failed)) {
    throw Error(ErrorKind::usage, fmt::format("{} holds no repository", escape(folder.string())),
                "name a machine of this shop");
  }
  const fs::path there =
      fs::weakly_canonical(to, failed).lexically_relative(fs::weakly_canonical(folder, failed));
  if (!there.empty() && *there.begin() != "..") {
    throw Error(ErrorKind::refused,
                fmt::format("{} is in the folder of the machine itself", escape(to.string())),
                "name a new folder, best on another disk");
  }
  if (fs::exists(to, failed) && !fs::is_empty(to, failed)) {
    throw Error(ErrorKind::refused, fmt::format("{} is not empty", escape(to.string())),
                "name a new folder, best on another disk");
  }
  store::Findings findings;  // the audit's to report
  const store::Objects objects(folder / ".git", findings, [&](std::size_t done, std::size_t total) {
    if (options.progress) options.progress("reading objects", done, total);
  });
  store::NewFolder made(to);
  const Rescued done = Rescue(objects, made.path()).run();
  made.put_in_place();
  return done;
}

}  // namespace keepway
