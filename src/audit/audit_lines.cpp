// What other programs did to the lines: commits that are no backups and change what backups hold, originals
// that are gone, backups that a line no longer has.
#include <fmt/format.h>

#include <algorithm>
#include <deque>

#include "audit/audit.hpp"
#include "git/tips.hpp"
#include "keepway/text.hpp"
#include "keepway/time.hpp"
#include "shop/backup_commit.hpp"

namespace keepway::audits {
namespace {

using store::oid_text;

constexpr std::string_view trials = "refs/heads/trial/";

// All that leads to a commit.
store::Ids ancestry(const History& history, const git_oid& tip) {
  store::Ids seen;
  std::deque<git_oid> queue{tip};
  while (!queue.empty()) {
    const git_oid id = queue.front();
    queue.pop_front();
    const store::RawCommit* commit = seen.contains(id) ? nullptr : history.commit(id);
    if (commit == nullptr) continue;
    seen.insert(id);
    queue.insert(queue.end(), commit->parents.begin(), commit->parents.end());
  }
  return seen;
}

bool is_same(const std::optional<git_oid>& a, const std::optional<git_oid>& b) {
  return a.has_value() == b.has_value() && (!a || git_oid_equal(&*a, &*b) != 0);
}

// Whether `path` at a commit's top is as a parent has it, or as the newest backup before it: one that takes
// another back.
bool is_as_before(const History& history, const store::RawCommit& commit, const std::string& path) {
  const auto now = history.at(commit.tree, path);
  if (commit.parents.empty()) return !now;
  for (const git_oid& parent : commit.parents) {
    const store::RawCommit* before = history.commit(parent);
    if (before == nullptr) return true;  // lost: reported by itself
    if (is_same(history.at(before->tree, path), now)) return true;
  }
  const store::RawCommit* backup = history.commit(commit.parents.front());
  while (backup != nullptr && !backup_from_commit(backup->info))
    backup = backup->parents.empty() ? nullptr : history.commit(backup->parents.front());
  return backup != nullptr && is_same(history.at(backup->tree, path), now);
}

void check_commits(const History& history, const store::Ids& meant, store::Findings& findings) {
  for (const auto& [id, commit] : history.commits()) {
    if (meant.contains(id) || backup_from_commit(commit.info)) continue;
    if (commit.info.rewritten) continue;  // reported with its line
    std::string changed;
    for (const char* path : {"originals", "state"}) {
      // Git's own merge puts a state together from both sides.
      if (commit.parents.size() > 1 && std::string_view(path) == "state") continue;
      if (!is_as_before(history, commit, path))
        changed += fmt::format("{}{}", changed.empty() ? "" : " and ", path);
    }
    if (changed.empty()) continue;
    findings.push_back(
        {Concern::look, "not-a-backup", changed,
         fmt::format("the commit {} of {} ({}, by {}) is not a backup, and changes {}", oid_text(id),
                     format_time(commit.info.taken), escape(commit.info.summary), escape(commit.info.author),
                     changed),
         fmt::format("see what it did: 'git show --stat {}' in the machine's folder; take it back with 'git "
                     "revert', or take a backup in on top, then say that it is known: keepway audit MACHINE "
                     "--settle",
                     oid_text(id))});
  }
}

void check_originals(const History& history, const store::Frame& frame, store::Findings& findings) {
  for (const store::FoundRef& ref : frame.refs) {
    const store::RawCommit* tip =
        ref.id && ref.name.starts_with(store::heads) ? history.commit(*ref.id) : nullptr;
    if (tip == nullptr || history.at(tip->tree, "originals")) continue;
    // The newest backup of the line, if there is one.
    const store::RawCommit* each = tip;
    while (each != nullptr && !backup_from_commit(each->info))
      each = each->parents.empty() ? nullptr : history.commit(each->parents.front());
    if (each == nullptr || !history.at(each->tree, "originals")) continue;
    findings.push_back(
        {Concern::damage, "originals-gone", ref.name,
         "its newest commit no longer has originals, though the backups before it do",
         "restore still gives what was backed up; bring the folder back: 'git revert' the commit "
         "that took it away"});
  }
}

bool is_in_place_of(const store::RawCommit& commit, const store::RememberedTip& tip) {
  if (commit.info.trailer("Keepway-Laid-From") == oid_text(tip.id)) return true;
  return !tip.digest.empty() && commit.info.at == tip.at &&
         commit.info.trailer("Keepway-Digest") == tip.digest;
}

// What is left of a line that was cut back: its backups from the remembered tip down to where the line still
// is.
std::vector<Affected> left_behind(const store::Objects& objects, git_oid id, const std::string& line,
                                  const store::Ids& still) {
  std::vector<Affected> out;
  while (!still.contains(id) && objects.type(id) == GIT_OBJECT_COMMIT) {
    const auto commit = store::parse_commit(id, objects.read(id));
    if (!commit) break;
    if (const auto backup = backup_from_commit(commit->info))
      out.push_back({line, backup->number, backup->at, oid_text(id)});
    if (commit->parents.empty()) break;
    id = commit->parents.front();
  }
  std::reverse(out.begin(), out.end());
  return out;
}

void check_tips(const std::vector<store::RememberedTip>& remembered, const store::Objects& objects,
                const store::Frame& frame, const History& history, store::Findings& findings) {
  for (const store::RememberedTip& tip : remembered) {
    const std::string& name = tip.ref;
    if (tip.settled) continue;
    const store::FoundRef* ref = frame.ref(name);
    const bool line_is_there = ref != nullptr && ref->id;
    if (line_is_there && history.commit(*ref->id) == nullptr) continue;  // its tip is lost: reported already
    store::Ids still;
    if (line_is_there && !name.starts_with(trials)) {
      still = ancestry(history, *ref->id);
    } else {
      // A trial that ended is kept or archived, and another may have its name by now.
      for (const auto& [id, commit] : history.commits()) still.insert(id);
    }
    const bool there =
        still.contains(tip.id) || std::any_of(still.begin(), still.end(), [&](const git_oid& id) {
          return is_in_place_of(*history.commit(id), tip);
        });
    if (there) continue;
    const std::string line = name.starts_with(store::heads) ? name.substr(store::heads.size()) : name;
    const bool whole = objects.whole(tip.id);
    findings.push_back(
        {whole ? Concern::look : Concern::damage, "backup-off-line", name,
         fmt::format(
             "keepway stored '{}' of {} there, and it is no longer on that branch: the branch was reset, "
             "rebased or removed{}",
             escape(tip.summary), format_time(tip.at), whole ? "" : ", and its commit is gone"),
         whole ? fmt::format("bring it back: 'git branch found-again {}' in the machine's folder, then see "
                             "what is on it; if "
                             "it is meant, say so: keepway audit MACHINE --settle",
                             oid_text(tip.id))
               : "repair it from another clone or remote: keepway audit MACHINE --from CLONE",
         left_behind(objects, tip.id, line, still)});
  }
}

}  // namespace

void check_lines(const std::filesystem::path& git_folder, const store::Objects& objects,
                 const store::Frame& frame, const History& history, store::Findings& findings) {
  const auto remembered = store::remembered_tips(git_folder);
  if (!remembered) {
    findings.push_back({Concern::note, "tips-off", ".git/keepway/tips",
                        "what keepway recorded of where it brought the branches is damaged",
                        "nothing stored is touched; the next backup writes it again"});
  }
  const auto tips = remembered.value_or(std::vector<store::RememberedTip>());
  store::Ids meant;
  for (const store::RememberedTip& tip : tips) {
    if (tip.settled) meant.merge(ancestry(history, tip.id));
  }
  check_commits(history, meant, findings);
  check_originals(history, frame, findings);
  check_tips(tips, objects, frame, history, findings);
}

}  // namespace keepway::audits
