// Lines with a lost commit: what is behind it is intact, and must stay within reach.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <deque>
#include <map>
#include <tuple>

#include "git/commit_info.hpp"
#include "git/folder.hpp"
#include "git/raw_object.hpp"
#include "store/impl.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

bool is_whole(git_repository& repo, const git_oid& id) {
  git_commit* raw = nullptr;
  const bool whole = git_commit_lookup(&raw, &repo, &id) == 0;
  const CommitHandle commit(raw);
  return whole;
}

// Where the lines' logs say that a line was before it came to `lost` ("OLD NEW Name <mail> …").
std::optional<git_oid> before_in_logs(const fs::path& git_folder, const git_oid& lost) {
  const std::string wanted = oid_text(lost);
  std::vector<std::string> logs = {"HEAD"};
  std::error_code failed;
  for (fs::recursive_directory_iterator at(git_folder / "logs" / "refs" / "heads", failed), end;
       !failed && at != end; at.increment(failed)) {
    if (at->is_regular_file()) logs.push_back(at->path().lexically_relative(git_folder / "logs").string());
  }
  if (!fs::is_directory(git_folder / "logs", failed)) return std::nullopt;
  Folder folder(git_folder / "logs");
  for (const std::string& log : logs) {
    const std::string text = folder.read(log).value_or("");
    for (std::size_t at = 0; at < text.size(); at = std::min(text.find('\n', at), text.size() - 1) + 1) {
      const std::string_view line = std::string_view(text).substr(at, 2 * oid_digits + 1);
      if (line.size() <= 2 * oid_digits || line.substr(oid_digits + 1) != wanted) continue;
      const auto before = parse_hex(line.substr(0, oid_digits));
      if (before && git_oid_is_zero(&*before) == 0 && git_oid_equal(&*before, &lost) == 0) return before;
    }
  }
  return std::nullopt;
}

using Commits = std::map<git_oid, RawCommit, OidLess>;

Commits all_commits(git_repository& repo) {
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, &repo);
  std::vector<git_oid> ids;
  check(git_odb_foreach(
            odb.get(),
            [](const git_oid* id, void* all) {
              static_cast<std::vector<git_oid>*>(all)->push_back(*id);
              return 0;
            },
            &ids),
        "list the objects");
  Commits out;
  for (const git_oid& id : ids) {
    std::size_t size = 0;
    git_object_t type = GIT_OBJECT_INVALID;
    if (git_odb_read_header(&size, &type, odb.get(), &id) != 0 || type != GIT_OBJECT_COMMIT) continue;
    git_odb_object* raw = nullptr;
    if (git_odb_read(&raw, odb.get(), &id) != 0) continue;
    const OdbObjectHandle object(raw);
    auto commit =
        parse_commit(id, {static_cast<const char*>(git_odb_object_data(raw)), git_odb_object_size(raw)});
    if (commit) out.emplace(id, std::move(*commit));
  }
  return out;
}

// Whether a commit's own line, as far as it can be followed, came over `lost`, or over the beginning of a
// trial.
bool is_elsewhere(const Commits& all, git_oid id, const git_oid& lost) {
  for (auto at = all.find(id); at != all.end(); at = all.find(id)) {
    if (!at->second.info.trailer("Keepway-Trial").empty() || at->second.parents.empty()) break;
    id = at->second.parents.front();
    if (git_oid_equal(&id, &lost) != 0) return true;
  }
  const auto last = all.find(id);
  return last != all.end() && !last->second.info.trailer("Keepway-Trial").empty();
}

// The newest commit taken no later than what was built on `lost`, that is neither above it nor on a trial.
std::optional<git_oid> newest_before(git_repository& repo, const git_oid& lost) {
  const Commits all = all_commits(repo);
  std::optional<std::int64_t> until;
  for (const auto& [id, commit] : all) {
    const bool child = std::any_of(commit.parents.begin(), commit.parents.end(),
                                   [&](const git_oid& parent) { return git_oid_equal(&parent, &lost) != 0; });
    if (child && (!until || commit.info.taken < *until)) until = commit.info.taken;
  }
  const RawCommit* best = nullptr;
  std::optional<git_oid> found;
  const auto number = [](const RawCommit& commit) { return commit.info.trailer("Keepway-Backup"); };
  for (const auto& [id, commit] : all) {
    if ((until && commit.info.taken > *until) || is_elsewhere(all, id, lost)) continue;
    const auto key = [&](const RawCommit& of) {
      return std::tuple(of.info.taken, number(of).size(), number(of));
    };
    if (best != nullptr && !(key(*best) < key(commit))) continue;
    best = &commit;
    found = id;
  }
  return found;
}

// Of a backup of main; 0 for any other commit.
int number_of(const CommitInfo& commit) {
  if (!commit.trailer("Keepway-Trial").empty()) return 0;
  const std::string_view text = commit.trailer("Keepway-Backup");
  int number = 0;
  const auto end = std::from_chars(text.data(), text.data() + text.size(), number);
  return end.ec == std::errc() && number > 0 ? number : 0;
}

// From a commit back along its line, around the holes that are known, until `visit` returns false.
void go_back(git_repository& repo, const std::vector<Repository::Hole>& holes, Oid at,
             const std::function<bool(const Oid&, int number)>& visit) {
  constexpr int far_enough = 1'000'000;  // a log may lead in circles
  for (int steps = 0; steps < far_enough; ++steps) {
    const git_oid id = parse_oid(at);
    git_commit* raw = nullptr;
    const bool there = git_commit_lookup(&raw, &repo, &id) == 0;
    const CommitHandle commit(raw);
    if (!visit(at, there ? number_of(info_of(repo, *commit)) : 0)) return;
    if (there && git_commit_parentcount(raw) == 0) return;
    if (there) {
      at = oid_text(*git_commit_parent_id(raw, 0));
      continue;
    }
    const auto hole =
        std::find_if(holes.begin(), holes.end(), [&](const auto& each) { return each.lost == at; });
    if (hole == holes.end() || !hole->next) return;
    at = *hole->next;
  }
}

// The backups with numbers between two, by their names; none where the upper is not known.
std::vector<std::string> between(int above, int below) {
  constexpr int most = 1000;
  std::vector<std::string> names;
  for (int n = std::max(below + 1, above - most); n < above; ++n) names.push_back(fmt::format("#{}", n));
  return names;
}

Repository::TellLoss& listener() {
  static Repository::TellLoss set;
  return set;
}

}  // namespace

void Repository::tell_losses(TellLoss tell) {
  listener() = std::move(tell);
}

void Repository::say_lost(const std::string& what, const std::vector<std::string>& backups) const {
  const std::string key = fmt::format("{}\n{}", what, fmt::join(backups, " "));
  if (impl_->losses.insert(key).second && listener()) listener()({impl_->folder, what, backups});
}

std::vector<std::string> Repository::Impl::touched_by(const std::vector<Line>& lines,
                                                      const Hole& hole) const {
  int above = 0;
  for (const Line& line : lines) {
    int last = 0;
    go_back(*repo, holes, line.tip, [&](const Oid& at, int number) {
      if (number > 0) last = number;
      if (at == hole.lost) above = std::max(above, last);
      return at != hole.lost;
    });
  }
  int below = 0;
  if (hole.next) {
    go_back(*repo, holes, *hole.next, [&](const Oid& /*at*/, int number) {
      below = number;
      return number == 0;
    });
  }
  return between(above, below);
}

std::optional<Oid> Repository::past(const Oid& lost) const {
  for (const Hole& known : impl_->holes) {
    if (known.lost == lost) return known.next;
  }
  const git_oid id = parse_oid(lost);
  std::optional<git_oid> next = before_in_logs(impl_->git_folder(), id);
  // Several in a row may be lost; a log that goes in circles says nothing.
  for (int steps = 0; next && !is_whole(*impl_->repo, *next); ++steps) {
    next = steps < 1000 ? before_in_logs(impl_->git_folder(), *next) : std::nullopt;
  }
  if (!next) next = newest_before(*impl_->repo, id);
  impl_->holes.push_back({lost, next ? std::optional(oid_text(*next)) : std::nullopt});
  say_lost(fmt::format("the commit {} is lost; what came before it {}", lost,
                       next ? "is read around it, without what it held" : "cannot be reached"),
           impl_->touched_by(lines(), impl_->holes.back()));
  return impl_->holes.back().next;
}

const std::vector<Repository::Hole>& Repository::holes() const {
  return impl_->holes;
}

}  // namespace keepway::store
