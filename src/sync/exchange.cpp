// Sync, step by step: fetch, look at what came, go on with the line or rebase ours onto it, send, and only
// then move refs here.
#include "sync/exchange.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "base/password.hpp"
#include "git/guard.hpp"
#include "git/settings.hpp"
#include "store/worktree.hpp"
#include "sync/begin_copy.hpp"
#include "sync/check_received.hpp"
#include "sync/last_sync.hpp"
#include "sync/move.hpp"
#include "sync/plan_refs.hpp"
#include "sync/quarantine.hpp"
#include "sync/rebase_line.hpp"
#include "sync/repair_rewritten.hpp"
#include "sync/send.hpp"
#include "sync/sync_remote.hpp"

namespace keepway::store {
namespace {

constexpr int most_attempts = 5;

class Sync {
 public:
  // `address`: the remote's name or URL.
  Sync(git_repository& repo, std::filesystem::path folder, const SyncOptions& options, const LineRules& rules,
       std::string address)
      : repo_(repo),
        folder_(std::move(folder)),
        git_folder_(git_repository_commondir(&repo)),
        rules_(rules),
        options_(options),
        address_(std::move(address)),
        sending_(repo, git_folder_) {}

  SyncAnswer run() {
    sending_.let_go();
    for (int attempt = 0; attempt < most_attempts; ++attempt) {
      answer_ = SyncAnswer();
      if (try_once()) return std::move(answer_);
    }
    throw Error(ErrorKind::store, fmt::format("{} changed each time keepway was ready to send", answer_.url),
                "others are sending too: sync again in a minute");
  }

  // Where the remote's branches were, as any Git client keeps it. Nothing here is decided by it: other
  // programs write it, too.
  void track(const std::string& name) {
    if (name.empty()) return;
    const auto tracking = [&](const std::string& ref) {
      constexpr std::string_view heads = "refs/heads/";
      return fmt::format("refs/remotes/{}/{}", name, ref.substr(heads.size()));
    };
    const auto lock = lock_soon(git_folder_);
    const std::string trials = tracking(std::string(trial_prefix));
    for (const auto& [ref, id] : refs_below(repo_, trials)) {
      if (!now_there_.contains(std::string(trial_prefix) + ref.substr(trials.size())))
        move_ref({ref, id, std::nullopt});
    }
    for (const auto& [ref, id] : now_there_) {
      if (ref == main_ref || ref.starts_with(trial_prefix)) set_ref(repo_, tracking(ref), id);
    }
  }
  // The remote's name here, as it was found; empty for a bare URL.
  [[nodiscard]] const std::string& name() const { return remote_->name(); }

 private:
  // False when the remote moved between our looking and our sending.
  bool try_once() {
    remote_.reset();
    received_.emplace(folder_, git_folder_);
    remote_.emplace(received_->repository(), address_, options_);
    answer_.url = remote_->shown_url();
    last_ = LastSync(repo_, remote_->url());
    const RefMap there = fetch();
    for (std::string& each : require_harmless(received_->repository(), there, local_refs(repo_), answer_.url,
                                              {options_.accept, rules_.faults, options_.progress})) {
      answer_.attention.push_back(std::move(each));
    }
    received_->keep();

    RefMap here = local_refs(repo_);
    const RefMap last = last_->refs();
    require_not_rewritten(at(here, main_ref), at(there, main_ref), at(last, main_ref));
    std::vector<RefMove> moves;
    std::vector<RefPush> push;
    plan_line(at(here, main_ref), at(there, main_ref), moves, push);
    move_marks(here, moves);
    RefPlan refs = plan_refs(repo_, here, there, last, answer_);
    moves.insert(moves.end(), refs.here.begin(), refs.here.end());
    push.insert(push.end(), refs.push.begin(), refs.push.end());
    archive_what_ends(refs, there, moves, push);
    // First what there is to come, then what is to go: an end may be sent only once its archive is there.
    const auto gone = std::stable_partition(push.begin(), push.end(),
                                            [](const RefPush& each) { return each.to.has_value(); });
    const std::vector<RefPush> ends(gone, push.end());
    push.erase(gone, push.end());
    require_none_rewritten(push, there);
    if (!push.empty() && !sending_.send(*remote_, push)) return false;
    apply(moves);
    if (!ends.empty() && !sending_.send(*remote_, ends)) return false;
    push.insert(push.end(), ends.begin(), ends.end());
    remember(push, there);
    remote_->name_main();  // each time: a sync may have been cut off before it came to this
    return true;
  }

  // Of a trial that ends, on either side, the commits are kept on both: by an archive of its own unless main
  // or another archive has them.
  void archive_what_ends(const RefPlan& refs, const RefMap& there, std::vector<RefMove>& moves,
                         std::vector<RefPush>& push) {
    const auto keep = [&](const std::string& ref, const git_oid& tip) {
      const bool comes = std::any_of(refs.here.begin(), refs.here.end(), [&](const RefMove& other) {
        return other.to && other.ref.starts_with(archive_prefix) && same(*other.to, tip);
      });
      if (comes || archived(tip)) return;
      const std::string name = fmt::format("{}trial/{}-{}", archive_prefix, ref.substr(trial_prefix.size()),
                                           oid_text(tip).substr(0, 12));
      moves.push_back({name, std::nullopt, tip});
      push.push_back({name, tip});
    };
    for (const RefMove& move : refs.here) {
      if (!move.to) keep(move.ref, *move.from);
    }
    for (const RefPush& each : refs.push) {
      if (!each.to) keep(each.ref, there.at(each.ref));
    }
  }

  // What Git made of backups by rebase or cherry-pick is no backup, and is never published.
  void require_none_rewritten(const std::vector<RefPush>& push, const RefMap& there) {
    for (const RefPush& each : push) {
      if (!each.to || !each.ref.starts_with("refs/heads/")) continue;
      const auto found = rewritten_since(repo_, *each.to, there);
      if (!found) continue;
      throw Error(
          ErrorKind::refused,
          fmt::format(
              "the commit {} ({}) is not a backup: rewritten by Git, by rebase or cherry-pick; nothing "
              "was sent",
              found->id.substr(0, 10), printable(found->summary.substr(0, 60))),
          "put the branch in order first: keepway hooks MACHINE --in-order");
    }
  }

  // What was on the line at the last sync, and was taken out of it there since.
  void require_not_rewritten(const std::optional<git_oid>& ours, const std::optional<git_oid>& theirs,
                             const std::optional<git_oid>& last) {
    if (!ours || !theirs || !last || options_.accept) return;
    const auto has = [&](const git_oid& tip) { return same(tip, *last) || descends(tip, *last); };
    if (!has(*ours) || has(*theirs) || same(*ours, *theirs) || descends(*ours, *theirs)) return;
    throw Error(ErrorKind::refused,
                fmt::format("{} was rewritten: what was there at the last sync (commit {}) is no longer on "
                            "its branch, and nothing was joined",
                            answer_.url, oid_text(*last).substr(0, 10)),
                "ask who did it; to continue from the branch as it is there now, with the backups of this PC "
                "rebased onto it: keepway sync MACHINE --accept");
  }

  RefMap fetch() {
    RefMap there;
    std::vector<std::string> wanted;
    for (const auto& [ref, id] : remote_->refs()) {
      if (!is_synced(ref)) continue;
      there[ref] = id;
      wanted.push_back(ref);
    }
    require_names(there, local_refs(repo_), answer_.url);
    if (!wanted.empty()) remote_->fetch(wanted, received_->packs());
    return there;
  }

  void plan_line(const std::optional<git_oid>& ours, const std::optional<git_oid>& theirs,
                 std::vector<RefMove>& moves, std::vector<RefPush>& push) {
    if (!ours && !theirs) {
      throw Error(ErrorKind::store,
                  fmt::format("{} is empty, and there is nothing here to send", answer_.url),
                  "check the URL");
    }
    if (!theirs) {
      answer_.sent = count_commits(repo_, *ours, nullptr);
      push.push_back({main_ref, ours});
    } else if (!ours || descends(*theirs, *ours)) {
      answer_.received = count_commits(repo_, *theirs, ours ? &*ours : nullptr);
      apply({{main_ref, ours, theirs}});  // at once: this needs no permission to push
    } else if (same(*ours, *theirs)) {
      return;
    } else if (descends(*ours, *theirs)) {
      answer_.sent = count_commits(repo_, *ours, &*theirs);
      push.push_back({main_ref, ours});
    } else {
      require_none_rewritten({{main_ref, ours}}, {{main_ref, *theirs}});
      rebase(*ours, *theirs, moves, push);
    }
  }

  void rebase(const git_oid& ours, const git_oid& theirs, std::vector<RefMove>& moves,
              std::vector<RefPush>& push) {
    Rebased rebased = rebase_onto(repo_, git_folder_, ours, theirs, rules_);
    // During a trial main's files are not in the folder.
    if (head_is_main()) WorkTree(repo_, folder_).require_untouched(ours, rebased.tip);
    answer_.received = count_commits(repo_, theirs, &ours);
    answer_.sent = rebased.count;
    answer_.rebased = rebased.count;
    answer_.twice = rebased.twice;
    answer_.renumbered = std::move(rebased.renumbered);
    if (!same(rebased.tip, theirs)) push.push_back({main_ref, rebased.tip});
    const std::string archive = std::string(archive_prefix) + "laid/" + oid_text(ours).substr(0, 12);
    moves.push_back({archive, std::nullopt, ours});
    push.push_back({archive, ours});
    moves.push_back({main_ref, ours, rebased.tip});
    moved_ = std::move(rebased.now);
    hold_ = std::move(rebased.hold);
  }

  // Marks on backups that were rebased, and never sent, go over to the new ones.
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

  void apply(std::vector<RefMove> moves) {
    if (moves.empty()) return;
    const auto lock = lock_soon(git_folder_);
    // What goes, goes last: its archive comes before.
    std::stable_partition(moves.begin(), moves.end(),
                          [](const RefMove& move) { return move.to.has_value(); });
    for (const RefMove& move : moves) {
      if (move.ref != head_of(repo_)) {
        move_ref(move);
      } else if (move.to) {
        move_checked_out(repo_, folder_, move);
      } else {
        leave_for(repo_, folder_, move.ref, main_ref);
        move_ref(move);
      }
    }
  }

  void move_ref(const RefMove& move) { store::move_ref(repo_, move); }

  void remember(const std::vector<RefPush>& pushed, RefMap there) {
    for (const RefPush& each : pushed) {
      if (each.to) {
        there[each.ref] = *each.to;
      } else {
        there.erase(each.ref);
      }
    }
    now_there_ = std::move(there);
    const auto lock = lock_soon(git_folder_);
    last_->set(now_there_, local_refs(repo_));
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

  bool head_is_main() { return head_of(repo_) == main_ref; }

  git_repository& repo_;
  std::filesystem::path folder_;
  std::filesystem::path git_folder_;
  const LineRules& rules_;
  const SyncOptions& options_;
  std::string address_;
  Sending sending_;
  std::optional<Receiving> received_;
  std::optional<Remote> remote_;
  std::optional<LastSync> last_;
  RefMap now_there_;
  SyncAnswer answer_;
  std::map<Oid, Oid> moved_;
  PackHold hold_;  // until the line is there
};

void require_no_password(const std::string& url) {
  if (without_passwords(url) != url) {
    throw Error(ErrorKind::usage, "the URL contains a password, which would be stored with it",
                "leave it out; give it in $KEEPWAY_GIT_PASSWORD or by a credential helper of Git's");
  }
}

void set_remote(git_repository& repo, const std::string& name, const std::string& url) {
  git_remote* raw = nullptr;
  if (git_remote_lookup(&raw, &repo, name.c_str()) == 0) {
    const RemoteHandle there(raw);
    set_config(git_repository_workdir(&repo), {{"remote." + name + ".url", url}});
  } else {
    int valid = 0;
    check(git_remote_name_is_valid(&valid, name.c_str()), "name the remote " + name);
    if (valid == 0) {
      throw Error(ErrorKind::usage, fmt::format("'{}' cannot name a remote", printable(name)),
                  "use letters, digits and hyphens");
    }
    set_config(git_repository_workdir(&repo),
               {{"remote." + name + ".url", url},
                {"remote." + name + ".fetch", fmt::format("+refs/heads/*:refs/remotes/{}/*", name)}});
  }
}

}  // namespace

SyncAnswer sync_repository(const std::filesystem::path& folder, const SyncOptions& options,
                           const LineRules& rules) {
  start_library();
  if (!options.to.empty() && only_git_in(folder)) begin_copy(folder);
  // Puts right what a program that was cut off left behind.
  Repository::open(folder).require_settled();
  const RepoHandle repo = open_repository(folder);
  const std::string name = options.remote.empty() ? "origin" : options.remote;
  const std::filesystem::path objects =
      std::filesystem::path(git_repository_commondir(repo.get())) / "objects";
  if (options.to.empty()) {
    Sync sync(*repo, folder, options, rules, name);
    SyncAnswer answer = sync.run();
    remember_packs(objects);
    sync.track(sync.name());
    return answer;
  }
  // A folder is named from where the person is; Git would look for it from the repository.
  std::error_code failed;
  const bool is_folder = std::filesystem::is_directory(options.to, failed);
  const std::string url = is_folder ? std::filesystem::canonical(options.to).string() : options.to;
  require_no_password(url);
  Sync sync(*repo, folder, options, rules, url);
  SyncAnswer answer = sync.run();
  remember_packs(objects);
  if (is_folder && std::filesystem::exists(std::filesystem::path(url) / ".git", failed)) {
    answer.attention.push_back(fmt::format(
        "{} has a work tree of its own, as the folder of a machine: nothing can be sent there, so "
        "that the address is not kept. Sync both PCs with a folder between them: git init --bare "
        "FOLDER.git, then --to FOLDER.git on each",
        answer.url));
    return answer;
  }
  // Only now: an address that is wrong leaves the one that was there. Whoever names a remote puts the hooks
  // in place after it.
  change_settings(
      git_place(folder), [&] { set_remote(*repo, name, url); }, true);
  sync.track(name);
  return answer;
}

}  // namespace keepway::store
