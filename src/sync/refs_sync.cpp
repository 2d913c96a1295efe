// Sync, step by step: fetch, go on with the line or lay ours onto it, send, and only then move refs here.
#include "sync/refs_sync.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "git/settings.hpp"
#include "sync/sync_line.hpp"
#include "sync/sync_refs.hpp"
#include "sync/sync_remote.hpp"
#include "store/worktree.hpp"

namespace keepway::store {
namespace {

constexpr int most_attempts = 5;
constexpr std::string_view held_prefix = "refs/keepway/sync/";

bool same(const git_oid& a, const git_oid& b) {
  return git_oid_equal(&a, &b) != 0;
}

std::optional<git_oid> at(const RefMap& refs, const std::string& ref) {
  const auto found = refs.find(ref);
  return found == refs.end() ? std::nullopt : std::optional(found->second);
}

class Sync {
 public:
  Sync(git_repository& repo, std::filesystem::path folder, const SyncOptions& options, const LineRules& rules)
      : repo_(repo),
        folder_(std::move(folder)),
        git_folder_(git_repository_commondir(&repo)),
        rules_(rules),
        remote_(repo, options.remote.empty() ? "origin" : options.remote, options) {}

  SyncAnswer run() {
    let_go();
    for (int attempt = 0; attempt < most_attempts; ++attempt) {
      answer_ = SyncAnswer();
      answer_.url = remote_.shown_url();
      if (try_once()) return std::move(answer_);
    }
    throw Error(ErrorKind::store, fmt::format("{} moved each time we were ready to send", remote_.shown_url()),
                "others are sending too: sync again in a minute");
  }

 private:
  // False when the remote moved between our looking and our sending.
  bool try_once() {
    const RefMap there = fetch();
    RefMap here = local_refs(repo_);
    std::vector<RefMove> moves;
    std::vector<std::string> push;
    plan_line(at(here, main_ref), at(there, main_ref), moves, push);
    move_marks(here, moves);
    RefPlan refs = plan_refs(repo_, here, there, last_seen(), answer_);
    // An end that comes from there keeps its commits here.
    for (const RefMove& move : refs.here) {
      const bool comes =
          !move.to && std::any_of(refs.here.begin(), refs.here.end(), [&](const RefMove& other) {
            return other.to && other.ref.starts_with(archive_prefix) && same(*other.to, *move.from);
          });
      if (!move.to && !comes && !archived(*move.from)) {
        const std::string name = std::string(archive_prefix) + "trial/" +
                                 move.ref.substr(trial_prefix.size()) + "-" +
                                 oid_text(*move.from).substr(0, 12);
        moves.push_back({name, std::nullopt, move.from});
      }
    }
    moves.insert(moves.end(), refs.here.begin(), refs.here.end());
    push.insert(push.end(), refs.push.begin(), refs.push.end());
    if (!push.empty() && !send(push)) return false;
    apply(moves);
    remember(push, there);
    remote_.name_main();  // each time: a sync may have been cut off before it came to this
    return true;
  }

  RefMap fetch() {
    RefMap there;
    std::vector<std::string> wanted;
    for (const auto& [ref, id] : remote_.refs()) {
      int valid = 0;
      if (!is_synced(ref) || git_reference_name_is_valid(&valid, ref.c_str()) != 0 || valid == 0) continue;
      there[ref] = id;
      wanted.push_back(ref);
    }
    if (!wanted.empty()) remote_.fetch(wanted);
    return there;
  }

  void plan_line(const std::optional<git_oid>& ours, const std::optional<git_oid>& theirs,
                 std::vector<RefMove>& moves, std::vector<std::string>& push) {
    if (!ours && !theirs) {
      throw Error(ErrorKind::store, fmt::format("{} is empty, and there is nothing here to send", answer_.url),
                  "see that the URL is right");
    }
    if (!theirs) {
      answer_.sent = count_commits(repo_, *ours, nullptr);
      push.push_back(oid_text(*ours) + ":" + main_ref);
    } else if (!ours || descends(*theirs, *ours)) {
      answer_.received = count_commits(repo_, *theirs, ours ? &*ours : nullptr);
      apply({{main_ref, ours, theirs}});  // at once: this needs nobody's leave to push
    } else if (same(*ours, *theirs)) {
      return;
    } else if (descends(*ours, *theirs)) {
      answer_.sent = count_commits(repo_, *ours, &*theirs);
      push.push_back(oid_text(*ours) + ":" + main_ref);
    } else {
      lay(*ours, *theirs, moves, push);
    }
  }

  void lay(const git_oid& ours, const git_oid& theirs, std::vector<RefMove>& moves,
           std::vector<std::string>& push) {
    Laid laid = lay_onto(repo_, git_folder_, ours, theirs, rules_);
    WorkTree(repo_, folder_)
        .require_untouched(head_is_main() ? std::optional(ours) : std::nullopt,
                           head_is_main() ? laid.tip : ours);
    answer_.received = count_commits(repo_, theirs, &ours);
    answer_.sent = laid.laid;
    answer_.laid = laid.laid;
    answer_.twice = laid.twice;
    answer_.attention.insert(answer_.attention.end(), laid.attention.begin(), laid.attention.end());
    if (!same(laid.tip, theirs)) push.push_back(oid_text(laid.tip) + ":" + main_ref);
    const std::string archive = std::string(archive_prefix) + "laid/" + oid_text(ours).substr(0, 12);
    moves.push_back({archive, std::nullopt, ours});
    push.push_back(oid_text(ours) + ":" + archive);
    moves.push_back({main_ref, ours, laid.tip});
    moved_ = std::move(laid.now);
  }

  // Marks on backups that were laid anew, and never sent, go over to the new ones.
  void move_marks(RefMap& here, std::vector<RefMove>& moves) {
    if (moved_.empty()) return;
    for (auto& [ref, id] : here) {
      if (!ref.starts_with(marks_prefix)) continue;
      git_object* raw = nullptr;
      check(git_object_lookup(&raw, &repo_, &id, GIT_OBJECT_ANY), "read a mark");
      const ObjectHandle object(raw);
      const bool annotated = git_object_type(raw) == GIT_OBJECT_TAG;
      const auto* tag = reinterpret_cast<const git_tag*>(raw);
      const auto now = moved_.find(oid_text(annotated ? *git_tag_target_id(tag) : id));
      if (now == moved_.end()) continue;
      git_oid to = parse_oid(now->second);
      if (annotated) {
        const auto target =
            take<ObjectHandle>("read a backup", git_object_lookup, &repo_, &to, GIT_OBJECT_COMMIT);
        const git_signature* who = git_tag_tagger(tag);
        const char* message = git_tag_message(tag);
        if (who != nullptr) {
          check(git_tag_annotation_create(&to, &repo_, git_tag_name(tag), target.get(), who,
                                          message == nullptr ? "" : message),
                "move a mark");
        }
      }
      moves.push_back({ref, id, to});
      id = to;  // plan_refs() sends it
    }
  }

  bool send(const std::vector<std::string>& refspecs) {
    const auto rejections = remote_.push(held(refspecs));
    let_go();
    if (rejections.empty()) return true;
    const auto moved = [](const Rejection& each) {
      for (const char* sign : {"fast-forward", "fetch first", "moved meanwhile", "failed to update ref",
                               "failed to lock", "cannot lock ref", "already exists"}) {
        if (each.reason.find(sign) != std::string::npos) return true;
      }
      return false;
    };
    if (std::all_of(rejections.begin(), rejections.end(), moved)) return false;
    std::string said = remote_.said().substr(0, 1000);
    std::replace_if(
        said.begin(), said.end(), [](char c) { return c == '\n' || c == '\r'; }, ' ');
    said = printable(said);
    throw Error(ErrorKind::store,
                fmt::format("{} would not take {}: {}{}{}", answer_.url, rejections.front().ref,
                            rejections.front().reason, said.empty() ? "" : "; it said: ", said),
                "see what it says; what came in from there is kept, and nothing of ours is lost");
  }

  // libgit2 sends refs, not objects: each object that goes is held by a ref of ours meanwhile.
  std::vector<std::string> held(const std::vector<std::string>& refspecs) {
    const auto lock = lock_soon(git_folder_);
    std::vector<std::string> out;
    for (const std::string& spec : refspecs) {
      const std::size_t colon = spec.find(':');
      if (colon == 0) {
        out.push_back(spec);
        continue;
      }
      const std::string ref = std::string(held_prefix) + spec.substr(0, colon);
      move_ref({ref, std::nullopt, parse_oid(spec.substr(0, colon))});
      out.push_back(ref + spec.substr(colon));
    }
    return out;
  }

  // Those of a sync that was cut off, too.
  void let_go() {
    const auto lock = lock_soon(git_folder_);
    for (const auto& [ref, id] : refs_below(repo_, held_prefix)) move_ref({ref, id, std::nullopt});
  }

  void apply(const std::vector<RefMove>& moves) {
    if (moves.empty()) return;
    const auto lock = lock_soon(git_folder_);
    const std::string head = head_name();
    for (const RefMove& move : moves) {
      if (move.ref == head && move.to) {
        go_on(move);
      } else {
        move_ref(move);
      }
    }
  }

  // Moves the line that is checked out, and the work tree with it, as an intake does.
  void go_on(const RefMove& move) {
    WorkTree work_tree(repo_, folder_);
    work_tree.require_untouched(move.from, *move.to);
    const std::vector<std::string> folders = {"state/", "originals/"};
    work_tree.set_pending({move.from, folders});
    move_ref(move);
    work_tree.bring(move.from, *move.to, folders, {});
    work_tree.clear_pending();
  }

  void move_ref(const RefMove& move) {
    if (!move.to) {
      const auto ref = take<RefHandle>("find " + move.ref, git_reference_lookup, &repo_, move.ref.c_str());
      check(git_reference_delete(ref.get()), "remove " + move.ref);
      return;
    }
    git_reference* raw = nullptr;
    const int code =
        move.from ? git_reference_create_matching(&raw, &repo_, move.ref.c_str(), &*move.to, 1, &*move.from,
                                                  "keepway: sync")
                  : git_reference_create(&raw, &repo_, move.ref.c_str(), &*move.to, 1, "keepway: sync");
    const RefHandle moved(raw);
    check(code, "move " + move.ref);
  }

  // Where the remote's branches were, as any Git client keeps it.
  [[nodiscard]] std::string tracking(const std::string& ref) const {
    constexpr std::string_view heads = "refs/heads/";
    return fmt::format("refs/remotes/{}/{}", remote_.name(), ref.substr(heads.size()));
  }

  RefMap last_seen() {
    RefMap out;
    if (remote_.name().empty()) return out;
    const std::string prefix = tracking(std::string(trial_prefix));
    for (const auto& [ref, id] : refs_below(repo_, prefix)) {
      out[std::string(trial_prefix) + ref.substr(prefix.size())] = id;
    }
    return out;
  }

  void remember(const std::vector<std::string>& pushed, RefMap there) {
    if (remote_.name().empty()) return;
    const auto lock = lock_soon(git_folder_);
    for (const std::string& spec : pushed) {
      const std::size_t colon = spec.find(':');
      if (colon == 0) {
        there.erase(spec.substr(1));
      } else {
        there[spec.substr(colon + 1)] = parse_oid(spec.substr(0, colon));
      }
    }
    for (const auto& [ref, id] : last_seen()) {
      if (!there.contains(ref)) move_ref({tracking(ref), id, std::nullopt});
    }
    for (const auto& [ref, id] : there) {
      if (ref == main_ref || ref.starts_with(trial_prefix)) move_ref({tracking(ref), std::nullopt, id});
    }
  }

  bool archived(const git_oid& id) {
    const RefMap refs = local_refs(repo_);
    return std::any_of(refs.begin(), refs.end(), [&](const auto& each) {
      const auto& [ref, tip] = each;
      if (ref.starts_with(archive_prefix) && same(tip, id)) return true;
      return ref == main_ref && (same(tip, id) || descends(tip, id));
    });
  }

  bool descends(const git_oid& commit, const git_oid& ancestor) {
    const int code = git_graph_descendant_of(&repo_, &commit, &ancestor);
    check(code, "compare two histories");
    return code == 1;
  }

  std::string head_name() {
    const auto head = take<RefHandle>("read HEAD", git_reference_lookup, &repo_, "HEAD");
    const char* name = git_reference_symbolic_target(head.get());
    return name == nullptr ? "" : name;
  }
  bool head_is_main() { return head_name() == main_ref; }

  git_repository& repo_;
  std::filesystem::path folder_;
  std::filesystem::path git_folder_;
  const LineRules& rules_;
  Remote remote_;
  SyncAnswer answer_;
  std::map<Oid, Oid> moved_;
};

void set_remote(git_repository& repo, const std::string& name, const std::string& url) {
  if (without_password(url) != url) {
    throw Error(ErrorKind::usage, "a password stands in the URL, and would be stored with it",
                "leave it out; give it in $KEEPWAY_GIT_PASSWORD or by a credential helper of Git's");
  }
  git_remote* raw = nullptr;
  if (git_remote_lookup(&raw, &repo, name.c_str()) == 0) {
    const RemoteHandle there(raw);
    check(git_remote_set_url(&repo, name.c_str(), url.c_str()), "set the URL of " + name);
  } else {
    check(git_remote_create(&raw, &repo, name.c_str(), url.c_str()), "name the remote " + name);
    const RemoteHandle made(raw);
  }
}

// A new repository with nothing in it. Goes on where making one was cut off; under the lock, so that lock
// files of Git's that were left are known for what they are.
void begin(const std::filesystem::path& folder) {
  git_repository* raw = nullptr;
  const int code = git_repository_open_ext(&raw, folder.c_str(), GIT_REPOSITORY_OPEN_NO_SEARCH, nullptr);
  const RepoHandle there(raw);
  if (code == 0 && git_repository_head_unborn(raw) == 0) return;
  std::error_code failed;
  std::filesystem::create_directories(folder / ".git", failed);
  if (failed) fail_disk(failed.value(), "make the folder " + folder.string());
  const auto lock = lock_soon(folder / ".git");
  git_repository_init_options options{};
  check(git_repository_init_options_init(&options, GIT_REPOSITORY_INIT_OPTIONS_VERSION), "make a repository");
  options.flags = GIT_REPOSITORY_INIT_MKPATH;
  options.initial_head = "main";
  take<RepoHandle>("make a repository in " + folder.string(), git_repository_init_ext, folder.c_str(),
                   &options);
}

}  // namespace

bool only_git_in(const std::filesystem::path& folder) {
  std::error_code failed;
  if (!std::filesystem::exists(folder, failed)) return true;
  for (const auto& entry : std::filesystem::directory_iterator(folder, failed)) {
    if (entry.path().filename() != ".git") return false;
  }
  return !failed;
}

SyncAnswer sync_repository(const std::filesystem::path& folder, const SyncOptions& options,
                           const LineRules& rules) {
  start_library();
  if (!options.to.empty() && only_git_in(folder)) begin(folder);
  // Puts right what a program that was cut off left behind.
  (void)Repository::open(folder);
  const RepoHandle repo = open_repository(folder);
  if (!options.to.empty()) {
    // A folder is named from where the person stands; Git would look for it from the repository.
    std::error_code failed;
    const bool is_folder = std::filesystem::is_directory(options.to, failed);
    const std::string url = is_folder ? std::filesystem::canonical(options.to).string() : options.to;
    // Whoever names a remote puts the hooks in place after it.
    const auto name_it = [&] { set_remote(*repo, options.remote.empty() ? "origin" : options.remote, url); };
    change_settings(git_place(folder), name_it, true);
  }
  return Sync(*repo, folder, options, rules).run();
}

}  // namespace keepway::store
