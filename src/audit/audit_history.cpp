// What the refs lead to: commits, lines, backups, and which of them damage touches.
#include <fmt/format.h>

#include <algorithm>
#include <deque>

#include "audit/audit.hpp"
#include "git/made_of.hpp"
#include "keepway/text.hpp"
#include "keepway/trial.hpp"
#include "shop/backup_commit.hpp"

namespace keepway::audits {
namespace {

using store::oid_text;

constexpr std::size_t max_depth = 512;  // of trees that other programs made
constexpr std::string_view tags = "refs/tags/";
constexpr std::string_view archives = "refs/keepway/archive/";
constexpr std::string_view sending = "refs/keepway/sync/";

const char* const repair_remedy =
    "repair it from another clone or remote: keepway audit MACHINE --from CLONE; --rescue DIR takes out what "
    "is "
    "intact";

std::string numbers(int first, int last) {
  return first == last ? fmt::format("backup #{}", first) : fmt::format("backups #{} to #{}", first, last);
}

// What a damaged file of a backup means for its owner.
std::string meaning_of(const std::string& path, const char* fault) {
  if (path.empty()) return fmt::format("the tree of these backups is {}: nothing of them can be read", fault);
  const std::string shown = escape(path);
  if (path.starts_with("originals")) {
    return fmt::format("'{}' is {}: these backups cannot be restored completely", shown, fault);
  }
  if (path == carried_path) {
    return fmt::format(
        "'{}' is {}: which items of a kept trial came from where is lost, and the merged state "
        "cannot be restored; the backups that it was made of can",
        shown, fault);
  }
  if (path.starts_with("state")) {
    return fmt::format(
        "'{}' is {}: these backups are restored all the same, and where they are shown or "
        "compared it is made again from their originals",
        shown, fault);
  }
  if (path == "layout.toml" || path == "machine.toml") {
    return fmt::format(
        "'{}' is {}: all files of these backups are restored all the same, but single items and "
        "groups only where the file of that name in the machine's folder is still the same",
        shown, fault);
  }
  return fmt::format("'{}' is {}", shown, fault);
}

}  // namespace

History::History(const store::Objects& objects, const store::Frame& frame, const Past& past,
                 store::Findings& findings)
    : objects_(objects) {
  for (const store::FoundRef& ref : frame.refs) check_ref(ref, findings);
  if (frame.head_commit) reach(*frame.head_commit);
  reach_past_holes(past);
  // main first, so that what trials share with it bears its name.
  std::vector<const store::FoundRef*> lines;
  for (const store::FoundRef& ref : frame.refs) {
    if (ref.id && (ref.name.starts_with(store::heads) || ref.name.starts_with(archives)))
      lines.push_back(&ref);
  }
  std::stable_sort(lines.begin(), lines.end(), [](const store::FoundRef* a, const store::FoundRef* b) {
    const auto rank = [](const std::string& name) {
      return name == "refs/heads/main" ? 0 : name.starts_with(store::heads) ? 1 : 2;
    };
    return rank(a->name) < rank(b->name);
  });
  for (const store::FoundRef* ref : lines) {
    const bool head = ref->name.starts_with(store::heads);
    follow_line(head ? ref->name.substr(store::heads.size()) : ref->name, *ref->id, findings);
  }
  report_damage(findings);
  report_cuts(findings);
}

const store::RawCommit* History::commit(const git_oid& id) const {
  const auto found = commits_.find(id);
  return found == commits_.end() ? nullptr : &found->second;
}

void History::check_ref(const store::FoundRef& ref, store::Findings& findings) {
  if (!ref.id) {
    tip_lost_ = true;
    if (ref.logged) reach(*ref.logged);
    return;
  }
  git_oid id = *ref.id;
  for (int steps = 0; objects_.type(id) == GIT_OBJECT_TAG && steps < 16; ++steps) {
    const auto tag = store::parse_tag(objects_.read(id));
    if (!tag) break;
    if (ref.name.starts_with(tags) && steps == 0 && tag->name != ref.name.substr(tags.size())) {
      findings.push_back({Concern::damage, "mark-renamed", escape(ref.name),
                          fmt::format("the mark says that it is '{}'", escape(tag->name)),
                          "correct its name: 'git tag' in the machine's folder"});
    }
    id = tag->target;
  }
  if (ref.name.starts_with(sending)) {
    findings.push_back({Concern::note, "sync-cut-off", escape(ref.name),
                        "a sync was cut off while it was sending; what it held back for that is still there",
                        "nothing is lost; the next sync goes on: keepway sync MACHINE"});
  }
  if (ref.peeled && git_oid_equal(&*ref.peeled, &id) == 0) {
    findings.push_back({Concern::damage, "refs-damaged", ".git/packed-refs",
                        fmt::format("it says that {} means {}, and the mark itself says {}", escape(ref.name),
                                    oid_text(*ref.peeled), oid_text(id)),
                        "let Git write it again: 'git pack-refs --all' in the machine's folder"});
  }
  if (objects_.whole(id)) {
    reach(id);
    excuse_log(ref, findings);
    return;
  }
  wanted_.insert(id);
  tip_lost_ = true;
  if (ref.name.starts_with(store::heads)) cut_.insert(id);
  if (ref.logged) reach(*ref.logged);
  findings.push_back({Concern::damage, "ref-dangling", escape(ref.name),
                      fmt::format("it names {}, which is {}", oid_text(id), objects_.fault(id)),
                      repair_remedy});
}

// Git's logs are not synced: a power cut can take the last line of one.
void History::excuse_log(const store::FoundRef& ref, store::Findings& findings) const {
  const store::RawCommit* tip = commit(*ref.id);
  if (tip == nullptr || !ref.logged || tip->parents.empty()) return;
  if (git_oid_equal(&tip->parents.front(), &*ref.logged) == 0) return;
  for (Finding& finding : findings) {
    if (finding.code != "ref-moved" || finding.where != printable(ref.name)) continue;
    finding.concern = Concern::note;
    finding.remedy = "no backup is affected: a power cut can leave Git's log one commit behind";
  }
}

void History::reach(const git_oid& tip) {
  std::deque<git_oid> queue{tip};
  while (!queue.empty()) {
    const git_oid id = queue.front();
    queue.pop_front();
    if (commits_.contains(id) || objects_.type(id) != GIT_OBJECT_COMMIT) continue;
    auto parsed = store::parse_commit(id, objects_.read(id));
    if (!parsed) continue;
    for (const git_oid& parent : parsed->parents) {
      if (objects_.whole(parent)) {
        queue.push_back(parent);
      } else {
        wanted_.insert(parent);
        cut_.insert(parent);
      }
    }
    if (objects_.type(parsed->tree) == GIT_OBJECT_TREE) {
      const auto parent = parsed->parents.empty() ? std::nullopt : std::optional(parsed->parents.front());
      parsed->info.rewritten = store::is_rewritten(parsed->info, parent, objects_.read(parsed->tree));
    }
    commits_.emplace(id, std::move(*parsed));
  }
}

// What the commands read around a lost commit is within reach, and looked through as all else.
void History::reach_past_holes(const Past& past) {
  if (!past) return;
  for (std::size_t known = past_.size() + 1; known != past_.size();) {
    known = past_.size();
    std::vector<git_oid> lost;
    for (const git_oid& id : cut_) {
      if (!past_.contains(id)) lost.push_back(id);
    }
    for (const git_oid& id : lost) {
      const auto next = past(id);
      if (!next) continue;
      past_.emplace(id, *next);
      reach(*next);
    }
  }
}

void History::follow_line(const std::string& line, const git_oid& tip, store::Findings& findings) {
  std::vector<Stored> found;
  std::size_t gaps = gaps_.size();  // those from here on have no backup below them yet
  for (git_oid id = tip; on_lines_.insert(id).second;) {
    const store::RawCommit* each = commit(id);
    if (each == nullptr) {
      gaps_.push_back({id, line, found.empty() ? 0 : found.back().name.number, 0});
      const auto behind = past_.find(id);
      if (behind == past_.end()) break;
      id = behind->second;
      continue;
    }
    if (auto backup = backup_from_commit(each->info)) {
      const Affected name{line, backup->number, backup->at, each->info.id};
      for (std::size_t i = gaps; i < gaps_.size(); ++i) gaps_[i].below = backup->number;
      gaps = gaps_.size();
      found.push_back({std::move(*backup), name, each->tree, each});
    } else if (each->info.rewritten) {
      findings.push_back({Concern::look, "not-a-backup", line,
                          fmt::format("commit {} ({}) is not the backup that its message names: rewritten by "
                                      "Git (rebase, cherry-pick, amend) or by hand",
                                      each->info.id.substr(0, 12), escape(each->info.summary)),
                          "put the branch in order: keepway hooks MACHINE --in-order"});
    }
    if (each->parents.empty()) break;
    id = each->parents.front();
  }
  backups_.insert(backups_.end(), found.rbegin(), found.rend());
}

const std::vector<History::Bad>& History::bad_below(const git_oid& tree, std::size_t depth) {
  const auto known = bad_.find(tree);
  if (known != bad_.end()) return known->second;
  std::vector<Bad> bad;
  const auto entries = objects_.type(tree) == GIT_OBJECT_TREE && depth < max_depth
                           ? store::parse_tree(objects_.read(tree))
                           : std::nullopt;
  if (!entries) bad.push_back({"", tree});
  for (const store::RawEntry& entry : entries.value_or(std::vector<store::RawEntry>())) {
    if (entry.elsewhere) continue;
    if (!entry.folder) {
      if (!objects_.whole(entry.id)) bad.push_back({entry.name, entry.id});
      continue;
    }
    for (const Bad& below : bad_below(entry.id, depth + 1)) {
      bad.push_back({below.path.empty() ? entry.name : entry.name + '/' + below.path, below.id});
    }
  }
  return bad_.emplace(tree, std::move(bad)).first->second;
}

bool History::whole_below(const git_oid& tree, std::string_view prefix) const {
  const std::vector<Bad>& bad = bad_.at(tree);
  const std::string_view folder = prefix.substr(0, prefix.find('/'));
  return std::none_of(bad.begin(), bad.end(), [&](const Bad& each) {
    return each.path.empty() || each.path == folder || each.path.starts_with(prefix);
  });
}

std::vector<TreeFile> History::files(const git_oid& tree, const std::string& prefix) const {
  std::vector<TreeFile> out;
  std::deque<std::pair<std::string, git_oid>> queue{{"", tree}};
  while (!queue.empty()) {
    const auto [path, id] = queue.front();
    queue.pop_front();
    if (objects_.type(id) != GIT_OBJECT_TREE) continue;
    for (const store::RawEntry& entry :
         store::parse_tree(objects_.read(id)).value_or(std::vector<store::RawEntry>())) {
      const std::string whole = path + entry.name;
      if (entry.folder && (prefix.starts_with(whole + '/') || whole.starts_with(prefix))) {
        queue.emplace_back(whole + '/', entry.id);
      } else if (!entry.folder && !entry.elsewhere && whole.starts_with(prefix)) {
        out.push_back({whole, entry.id});
      }
    }
  }
  std::sort(out.begin(), out.end(), [](const TreeFile& a, const TreeFile& b) { return a.path < b.path; });
  return out;
}

std::optional<git_oid> History::at(const git_oid& tree, const std::string& path) const {
  if (objects_.type(tree) != GIT_OBJECT_TREE) return std::nullopt;
  for (const store::RawEntry& entry :
       store::parse_tree(objects_.read(tree)).value_or(std::vector<store::RawEntry>())) {
    if (entry.name == path) return entry.id;
  }
  return std::nullopt;
}

void History::report_damage(store::Findings& findings) {
  struct Damaged {
    std::string path;
    std::vector<Affected> backups;
  };
  std::map<git_oid, Damaged, store::OidLess> damaged;
  // Those of backups in their order: a tree is stored as its difference to its neighbour's.
  for (const Stored& each : backups_) bad_below(each.tree, 0);
  for (const auto& [id, each] : commits_) {
    for (const Bad& bad : bad_below(each.tree, 0)) {
      damaged[bad.id].path = bad.path;
      wanted_.insert(bad.id);
    }
  }
  if (damaged.empty()) return;
  for (const Stored& each : backups_) {
    for (const Bad& bad : bad_below(each.tree, 0)) damaged[bad.id].backups.push_back(each.name);
  }
  for (auto& [id, each] : damaged) {
    findings.push_back(
        {Concern::damage, "object-lost", escape(each.path),
         fmt::format("{} (object {})", meaning_of(each.path, objects_.fault(id)), oid_text(id)),
         repair_remedy, std::move(each.backups)});
  }
}

void History::report_cuts(store::Findings& findings) {
  if (cut_.empty() && !tip_lost_) return;
  // Backups that are in the store and that no line leads to any more; a tip that is lost cuts its line too.
  std::vector<Affected> stranded;
  for (const auto& [id, type] : objects_.all()) {
    if (type != GIT_OBJECT_COMMIT || commits_.contains(id)) continue;
    const auto parsed = store::parse_commit(id, objects_.read(id));
    const auto backup = parsed ? backup_from_commit(parsed->info) : std::nullopt;
    if (backup) stranded.push_back({"(cut off)", backup->number, backup->at, oid_text(id)});
  }
  std::sort(stranded.begin(), stranded.end(),
            [](const Affected& a, const Affected& b) { return a.number < b.number; });
  bool reported = false;
  for (const git_oid& lost : cut_) {
    const Gap* gap = gap_of(lost);
    const bool first = gap != nullptr && gap->above == 1 && gap->below == 0;
    const bool around = first || past_.contains(lost);
    const char* rest = first    ? "no backup came before it"
                       : around ? "the backups before it are still listed, shown and restored"
                                : "what came before it can no longer be reached";
    findings.push_back({Concern::damage, "history-cut", "",
                        fmt::format("the commit {} is {}: {}; {}", oid_text(lost), objects_.fault(lost),
                                    lost_with(lost, gap), rest),
                        repair_remedy, around ? std::vector<Affected>() : stranded});
    reported = reported || !around;
  }
  if (!reported && !stranded.empty()) {
    findings.push_back({Concern::damage, "history-cut", "",
                        "these backups are intact, but no branch leads to them", repair_remedy, stranded});
  }
}

const History::Gap* History::gap_of(const git_oid& lost) const {
  const auto gap = std::find_if(gaps_.begin(), gaps_.end(),
                                [&](const Gap& each) { return git_oid_equal(&each.lost, &lost) != 0; });
  return gap == gaps_.end() ? nullptr : &*gap;
}

// Which backups went with a commit: by the numbers of those above and below it on its line.
std::string History::lost_with(const git_oid& lost, const Gap* gap) const {
  if (gap == nullptr) return "no branch leads directly through it";
  const std::string line = escape(gap->line);
  if (gap->above == 0 && gap->below == 0) return fmt::format("it was the newest of {}", line);
  if (gap->above == 0) return fmt::format("what was stored on {} after #{} is lost", line, gap->below);
  const int first = gap->below + 1;
  const int last = gap->above - 1;
  if (first > last) return fmt::format("it held no backup of {}", line);
  if (!past_.contains(lost)) return fmt::format("with it {} of {} may be lost", numbers(first, last), line);
  return fmt::format("{} of {} {} lost", numbers(first, last), line, first == last ? "is" : "are");
}

}  // namespace keepway::audits
