// Lines (branches), marks (tags), and refs of keepway's own.
#include <fmt/format.h>

#include <algorithm>

#include "git/form.hpp"
#include "git/message.hpp"
#include "git/objects.hpp"
#include "keepway/text.hpp"
#include "store/impl.hpp"
#include "store/worktree.hpp"

namespace keepway::store {
namespace {

constexpr std::string_view own_prefix = "refs/keepway/";
constexpr std::string_view marks_prefix = "refs/tags/";

std::vector<Repository::Ref> refs_below(git_repository& repo, std::string_view prefix) {
  const auto iterator = take<RefIteratorHandle>("list the refs", git_reference_iterator_new, &repo);
  std::vector<Repository::Ref> out;
  while (true) {
    git_reference* raw = nullptr;
    const int code = git_reference_next(&raw, iterator.get());
    const RefHandle ref(raw);
    if (code == GIT_ITEROVER) break;
    check(code, "list the refs");
    const git_oid* id = git_reference_target(raw);
    const std::string_view name = git_reference_name(raw);
    if (id != nullptr && name.starts_with(prefix)) out.push_back({std::string(name), oid_text(*id)});
  }
  std::sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
  return out;
}

// What in a name Git cannot hold (git-check-ref-format), for a message.
std::string fault_of(std::string_view name) {
  if (name.empty()) return "it is empty";
  for (const char c : name) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) return "it holds a control byte";
    if (std::string_view("~^:?*[\\ ").find(c) != std::string_view::npos)
      return fmt::format("it holds '{}'", c);
  }
  for (const std::string_view part : {"..", "@{", "//", "/.", "./"}) {
    if (name.find(part) != std::string_view::npos) return fmt::format("it holds '{}'", part);
  }
  if (std::string_view("-./").find(name.front()) != std::string_view::npos) {
    return fmt::format("it begins with '{}'", name.front());
  }
  if (std::string_view("./").find(name.back()) != std::string_view::npos) {
    return fmt::format("it ends with '{}'", name.back());
  }
  return "Git reserves it";  // "@", "HEAD", "x.lock"
}

void require_ref_name(std::string_view kind, std::string_view shown, const std::string& ref,
                      bool taken_by_git) {
  int valid = 0;
  if (ref.find('\0') == std::string::npos) {
    check(git_reference_name_is_valid(&valid, ref.c_str()), "check a name");
  }
  // What could not be sent, or would not be taken, is not begun.
  const bool travels = ref.starts_with(lines_prefix) || ref.starts_with(marks_prefix);
  if (const char* harm = travels && valid != 0 ? harm_in_ref(ref) : nullptr) {
    throw Error(ErrorKind::usage, fmt::format("'{}' cannot name a {}: {}", printable(shown), kind, harm),
                "use letters, digits and hyphens");
  }
  if (valid == 0 || taken_by_git) {
    throw Error(ErrorKind::usage,
                fmt::format("'{}' cannot name a {}: {}", printable(shown), kind, fault_of(shown)),
                "use letters, digits and hyphens");
  }
}

std::string mark_in_ref(std::string name) {
  std::replace(name.begin(), name.end(), ' ', '_');
  return name;
}

// Equal for names that people take for one: in capitals or not, with more spaces or fewer.
std::string mark_key(const std::string& name) {
  std::string key;
  for (const char c : lower(name)) {
    const bool space = c == ' ' || c == '_';
    if (!space || (!key.empty() && key.back() != ' ')) key += space ? ' ' : c;
  }
  if (key.ends_with(' ')) key.pop_back();
  return key;
}

CommitHandle commit_of(git_repository& repo, const Oid& commit) {
  const git_oid id = parse_oid(commit);
  return take<CommitHandle>("read the commit " + commit, git_commit_lookup, &repo, &id);
}

// The names of the folders that lead to a ref: libgit2 syncs the one that the ref itself is in, and
// nothing when a ref goes.
void sync_way_to(const std::filesystem::path& git_folder, const std::string& ref) {
  const std::filesystem::path top = git_folder / "refs";
  for (auto folder = (git_folder / ref).parent_path(); folder != git_folder; folder = folder.parent_path()) {
    std::error_code absent;
    if (std::filesystem::is_directory(folder, absent)) sync_folder(folder);
    if (folder == top) break;
  }
}

}  // namespace

std::string Repository::line() const {
  const std::string head = impl_->head_ref();
  return head.starts_with(lines_prefix) ? head.substr(std::string_view(lines_prefix).size()) : std::string();
}

std::vector<Repository::Line> Repository::lines() const {
  std::vector<Line> out;
  for (Ref& ref : refs_below(*impl_->repo, lines_prefix)) {
    out.push_back({ref.name.substr(std::string_view(lines_prefix).size()), std::move(ref.id)});
  }
  return out;
}

void Repository::begin_line(const std::string& name, const Oid& commit) {
  require_ref_name("line", name, lines_prefix + name, name.starts_with('-') || name == "HEAD");
  const Lock lock = impl_->lock();
  const auto start = commit_of(*impl_->repo, commit);
  git_reference* raw = nullptr;
  const int code = git_branch_create(&raw, impl_->repo.get(), name.c_str(), start.get(), 0);
  const RefHandle made(raw);
  if (code == GIT_EEXISTS) {
    throw Error(ErrorKind::refused, fmt::format("there is already a branch '{}'", name),
                "choose another name");
  }
  check(code, "create the branch " + name);
  sync_way_to(impl_->git_folder(), lines_prefix + name);
}

void Repository::switch_line(const std::string& name) {
  require_settled();
  const Lock lock = impl_->lock();
  impl_->finish_pending();
  const std::string ref = lines_prefix + name;
  const auto after = name.find('\0') == std::string::npos ? impl_->target(ref) : std::nullopt;
  if (!after) {
    throw Error(ErrorKind::usage, fmt::format("there is no branch '{}'", printable(name)),
                "create the branch first");
  }
  const auto before = impl_->target("HEAD");
  impl_->require_harmless(*after);
  WorkTree work_tree(*impl_->repo, impl_->folder);
  work_tree.require_untouched(before, *after);
  work_tree.set_pending({before, {}});
  check(git_repository_set_head(impl_->repo.get(), ref.c_str()), "switch to the branch " + name);
  impl_->bring_work_tree(before, {}, {});
}

void Repository::drop_line(const std::string& name) {
  const Lock lock = impl_->lock();
  const std::string ref = lines_prefix + name;
  if (ref == impl_->head_ref()) {
    throw Error(ErrorKind::refused, fmt::format("the branch '{}' is checked out", printable(name)),
                "switch to another first");
  }
  if (name.find('\0') != std::string::npos || !impl_->target(ref)) {
    throw Error(ErrorKind::usage, fmt::format("there is no branch '{}'", printable(name)),
                "list the branches");
  }
  const auto branch =
      take<RefHandle>("find the branch " + name, git_reference_lookup, impl_->repo.get(), ref.c_str());
  // Not git_branch_delete: it also looks for settings of the branch, of which there are none, and leaks while
  // at it.
  check(git_reference_delete(branch.get()), "delete the branch " + name);
  sync_way_to(impl_->git_folder(), ref);
}

void Repository::set_ref(const std::string& name, const Oid& id) {
  require_ref_name("ref of keepway", name, name, !name.starts_with(own_prefix));
  const Lock lock = impl_->lock();
  const git_oid target = parse_oid(id);
  take<RefHandle>("set " + name, git_reference_create, impl_->repo.get(), name.c_str(), &target, 1,
                  static_cast<const char*>(nullptr));
  sync_way_to(impl_->git_folder(), name);
}

void Repository::remove_ref(const std::string& name) {
  require_ref_name("ref of keepway", name, name, !name.starts_with(own_prefix));
  const Lock lock = impl_->lock();
  if (impl_->target(name)) check(git_reference_remove(impl_->repo.get(), name.c_str()), "remove " + name);
}

std::vector<Repository::Ref> Repository::refs(const std::string& prefix) const {
  if (!prefix.starts_with(own_prefix)) {
    throw Error(ErrorKind::usage, fmt::format("'{}' is not below {}", printable(prefix), own_prefix),
                "name a ref below it");
  }
  return refs_below(*impl_->repo, prefix);
}

void Repository::mark(const std::string& name, const Oid& commit, const std::string& who, std::int64_t when,
                      const std::optional<Mark>& instead) {
  std::string in_ref = mark_in_ref(name);
  require_ref_name("mark", in_ref, std::string(marks_prefix) + in_ref, in_ref.starts_with('-'));
  const std::string old_ref = instead ? mark_in_ref(instead->name) : "";
  for (const Mark& other : marks()) {
    if (mark_in_ref(other.name) == old_ref || mark_key(other.name) != mark_key(name)) continue;
    if (!instead && other.name == name && other.commit == commit) return;
    throw Error(
        ErrorKind::refused,
        other.commit == commit
            ? fmt::format("that backup is marked '{}' already, which reads the same", other.name)
            : fmt::format("the mark '{}' is already on another backup", other.name),
        fmt::format("choose another name, or rename the old mark: keepway mark MACHINE '{}' --rename NEW",
                    printable(other.name)));
  }
  const Lock lock = impl_->lock();
  (void)commit_of(*impl_->repo, commit);
  const std::string clean = clean_name(who);
  // By our own hand: libgit2 would not pass on why the disk did not take the object.
  ObjectBatch batch(*impl_->repo, impl_->git_folder());
  const git_oid tag = batch.add(
      GIT_OBJECT_TAG, fmt::format("object {}\ntype commit\ntag {}\ntagger {} <{}> {} +0000\n\n{}\n", commit,
                                  in_ref, clean, email_for(*impl_->repo, clean), when, name));
  const PackHold hold = batch.write();
  take<RefHandle>("set the mark " + name, git_reference_create, impl_->repo.get(),
                  (std::string(marks_prefix) + in_ref).c_str(), &tag, in_ref == old_ref ? 1 : 0,
                  static_cast<const char*>(nullptr));
  if (instead && in_ref != old_ref)
    check(git_reference_remove(impl_->repo.get(), (std::string(marks_prefix) + old_ref).c_str()),
          "remove the mark " + instead->name);
  sync_way_to(impl_->git_folder(), std::string(marks_prefix) + in_ref);
}

void Repository::remove_mark(const Mark& mark) {
  const Lock lock = impl_->lock();
  check(git_reference_remove(impl_->repo.get(), (std::string(marks_prefix) + mark_in_ref(mark.name)).c_str()),
        "remove the mark " + mark.name);
  sync_way_to(impl_->git_folder(), std::string(marks_prefix) + mark_in_ref(mark.name));
}

std::optional<Repository::Mark> Repository::find_mark(const std::string& name) const {
  std::vector<Mark> similar;
  for (Mark& each : marks()) {
    if (each.name == name) return std::move(each);
    if (mark_key(each.name) == mark_key(name)) similar.push_back(std::move(each));
  }
  if (similar.size() != 1) return std::nullopt;
  return std::move(similar.front());
}

std::vector<Repository::Mark> Repository::marks() const {
  std::vector<Mark> out;
  for (const Ref& ref : refs_below(*impl_->repo, marks_prefix)) {
    std::string name = ref.name.substr(marks_prefix.size());
    const git_oid id = parse_oid(ref.id);
    const auto object = take<ObjectHandle>("read the mark " + name, git_object_lookup, impl_->repo.get(), &id,
                                           GIT_OBJECT_ANY);
    git_object* raw = nullptr;
    if (git_object_peel(&raw, object.get(), GIT_OBJECT_COMMIT) != 0)
      continue;  // somebody's tag of something else
    const ObjectHandle commit(raw);
    if (git_object_type(object.get()) == GIT_OBJECT_TAG) {
      const char* message = git_tag_message(reinterpret_cast<const git_tag*>(object.get()));
      std::string whole = message == nullptr ? "" : message;
      whole.resize(std::min(whole.find('\n'), whole.size()));
      if (mark_in_ref(whole) == name) name = whole;
    }
    out.push_back({std::move(name), oid_text(*git_object_id(raw))});
  }
  return out;
}

}  // namespace keepway::store
