// The machine's folder and Git's index are copies of the newest commit: what is off there is no loss.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "audit/audit.hpp"
#include "git/folder.hpp"
#include "store/worktree.hpp"

namespace keepway::audits {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t most_named = 8;

// "a, b and 3 more"
std::string some_of(const std::vector<std::string>& names) {
  std::string out;
  for (std::size_t i = 0; i < std::min(names.size(), most_named); ++i)
    out += (i == 0 ? "" : ", ") + ("'" + escape(names[i]) + "'");
  if (names.size() > most_named) out += fmt::format(" and {} more", names.size() - most_named);
  return out;
}

bool derived(std::string_view path) {
  return path.starts_with("state/") || path.starts_with("originals/");
}

std::vector<std::string> strays(const fs::path& folder, const std::set<std::string>& known) {
  std::vector<std::string> found;
  for (const char* part : {"state", "originals"}) {
    std::error_code failed;
    for (const auto& entry : fs::recursive_directory_iterator(folder / part, failed)) {
      const std::string path = entry.path().lexically_relative(folder).string();
      if ((!entry.is_directory(failed) || entry.is_symlink(failed)) && !known.contains(path))
        found.push_back(path);
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

// What of the index is not as in the newest commit; nullopt when the file cannot be read.
std::optional<std::vector<std::string>> index_faults(const fs::path& file,
                                                     const std::vector<TreeFile>& files) {
  git_index* raw = nullptr;
  if (!store::ends_with_sum(file) || git_index_open(&raw, file.c_str()) != 0) return std::nullopt;
  const store::IndexHandle index(raw);
  std::vector<std::string> off;
  for (const TreeFile& each : files) {
    const git_index_entry* entry = git_index_get_bypath(raw, each.path.c_str(), 0);
    if (entry == nullptr || git_oid_equal(&entry->id, &each.id) == 0) off.push_back(each.path);
  }
  const auto known = [&](const std::string& path) {
    const auto at =
        std::lower_bound(files.begin(), files.end(), path,
                         [](const TreeFile& each, const std::string& p) { return each.path < p; });
    return at != files.end() && at->path == path;
  };
  for (std::size_t i = 0; i < git_index_entrycount(raw); ++i) {
    const std::string path = git_index_get_byindex(raw, i)->path;
    if (!known(path)) off.push_back(path);
  }
  return off;
}

}  // namespace

void check_work_tree(const fs::path& folder, const store::Objects& objects, const store::Frame& frame,
                     const History& history, store::Findings& findings) {
  const store::FoundRef* line = frame.ref(frame.head);
  const auto tip = line != nullptr ? line->id : frame.head_commit;
  const store::RawCommit* commit = tip ? history.commit(*tip) : nullptr;
  if (commit == nullptr || !objects.whole(commit->tree)) return;  // reported already
  const std::vector<TreeFile> files = history.files(commit->tree, "");
  std::vector<std::string> off;
  std::set<std::string> known;
  store::Folder disk(folder);
  for (const TreeFile& file : files) {
    known.insert(file.path);
    std::optional<std::string> bytes;
    try {
      bytes = disk.read(file.path);
    } catch (const Error&) {
      bytes.reset();
    }
    git_oid id{};
    if (bytes) store::check(git_odb_hash(&id, bytes->data(), bytes->size(), GIT_OBJECT_BLOB), "hash a file");
    if (bytes && git_oid_equal(&id, &file.id) != 0) continue;
    if (derived(file.path)) {
      off.push_back(file.path);
      continue;
    }
    findings.push_back({Concern::look, "edited", escape(file.path),
                        bytes ? "it differs from the newest backup: edited by hand, or damaged"
                              : "it is gone from the machine's folder",
                        fmt::format("see what changed: 'git diff {0}' in the machine's folder; the next "
                                    "intake stores the change, 'git checkout {0}' undoes it",
                                    escape(file.path))});
  }
  for (std::string& path : strays(folder, known)) off.push_back(std::move(path));
  if (!off.empty()) {
    findings.push_back({Concern::look, "copy-off", escape(off.front()),
                        fmt::format("in the machine's folder, {} {} from the newest backup", some_of(off),
                                    off.size() == 1 ? "differs" : "differ"),
                        "nothing stored is affected; put the copies back: 'git checkout -- state originals' "
                        "there, or keepway audit MACHINE --from CLONE"});
  }
  const auto index_off = index_faults(folder / ".git" / "index", files);
  if (!index_off || !index_off->empty()) {
    findings.push_back({Concern::look, "git-index", ".git/index",
                        index_off
                            ? fmt::format("in Git's index, {} {} from the newest commit", some_of(*index_off),
                                          index_off->size() == 1 ? "differs" : "differ")
                            : "Git's index is damaged or missing",
                        "nothing stored is affected; make it again: 'git reset' in the machine's folder"});
  }
}

}  // namespace keepway::audits
