#include "sync/plan_refs.hpp"

#include <fmt/format.h>

#include <set>

#include "sync/move.hpp"

namespace keepway::store {
namespace {

bool descends(git_repository& repo, const git_oid& commit, const git_oid& ancestor) {
  const int code = git_graph_descendant_of(&repo, &commit, &ancestor);
  check(code, "compare two histories");
  return code == 1;
}

// The commit that a mark stands for, or the id itself for anything else.
git_oid target_of(git_repository& repo, const git_oid& id) {
  git_object* raw = nullptr;
  check(git_object_lookup(&raw, &repo, &id, GIT_OBJECT_ANY), "read a mark");
  const ObjectHandle object(raw);
  git_object* peeled = nullptr;
  if (git_object_peel(&peeled, raw, GIT_OBJECT_COMMIT) != 0) return id;
  const ObjectHandle commit(peeled);
  return *git_object_id(peeled);
}

class Planner {
 public:
  Planner(git_repository& repo, SyncAnswer& answer) : repo_(repo), answer_(answer) {}

  void send(const std::string& ref, const git_oid& id) {
    plan.push.push_back({ref, id});
    answer_.went.push_back(ref_title(ref));
  }
  void take(const std::string& ref, const std::optional<git_oid>& from, const git_oid& to) {
    plan.here.push_back({ref, from, to});
    answer_.came.push_back(ref_title(ref));
  }

  void trial(const std::string& ref, const std::optional<git_oid>& here, const std::optional<git_oid>& there,
             const std::optional<git_oid>& last, bool checked_out) {
    if (here && there) {
      if (same(*here, *there)) return;
      if (descends(repo_, *there, *here)) return take(ref, here, *there);
      if (descends(repo_, *here, *there)) return send(ref, *here);
      answer_.attention.push_back(fmt::format(
          "{} was continued differently on both sides, and both are left as they are: drop it on one PC (its "
          "backups stay there), then sync again",
          ref_title(ref)));
    } else if (there) {
      if (!last || !same(*last, *there)) return take(ref, here, *there);
      plan.push.push_back({ref, std::nullopt});  // it ended here, and nobody went on with it there
      answer_.went.push_back("end of " + ref_title(ref));
    } else if (here) {
      if (last && !same(*last, *here)) {
        answer_.attention.push_back(
            fmt::format("{} was ended on another PC, and has new backups here: it goes on, and is sent again",
                        ref_title(ref)));
      }
      if (!last || !same(*last, *here)) return send(ref, *here);
      plan.here.push_back({ref, here, std::nullopt});
      answer_.came.push_back(
          fmt::format("end of {}{}", ref_title(ref),
                      checked_out ? ", which was in progress here: intakes go to main again" : ""));
    }
  }

  void mark(const std::string& ref, const std::optional<git_oid>& here, const std::optional<git_oid>& there,
            const std::optional<git_oid>& last) {
    if (here && there) {
      if (same(*here, *there)) return;
      if (same(target_of(repo_, *here), target_of(repo_, *there))) return take(ref, here, *there);
      answer_.attention.push_back(fmt::format(
          "{} names one backup here and another there: both are left as they are{}", ref_title(ref),
          ref.starts_with(marks_prefix)
              ? fmt::format("; rename yours: keepway mark MACHINE '{}' --rename NEW",
                            printable(ref.substr(marks_prefix.size())))
              : ""));
    } else if (there) {
      if (!last || !same(*last, *there)) take(ref, here, *there);
    } else {
      send(ref, *here);
    }
  }

  RefPlan plan;

 private:
  git_repository& repo_;
  SyncAnswer& answer_;
};

}  // namespace

std::optional<git_oid> at(const RefMap& refs, const std::string& ref) {
  const auto found = refs.find(ref);
  return found == refs.end() ? std::nullopt : std::optional(found->second);
}

bool is_synced(std::string_view ref) {
  return ref == main_ref || ref.starts_with(trial_prefix) || ref.starts_with(marks_prefix) ||
         ref.starts_with(archive_prefix);
}

RefMap refs_below(git_repository& repo, std::string_view prefix) {
  const auto iterator = take<RefIteratorHandle>("list the refs", git_reference_iterator_new, &repo);
  RefMap out;
  while (true) {
    git_reference* raw = nullptr;
    const int code = git_reference_next(&raw, iterator.get());
    const RefHandle ref(raw);
    if (code == GIT_ITEROVER) return out;
    check(code, "list the refs");
    const git_oid* id = git_reference_target(raw);
    const std::string_view name = git_reference_name(raw);
    if (id != nullptr && name.starts_with(prefix)) out[std::string(name)] = *id;
  }
}

RefMap local_refs(git_repository& repo) {
  RefMap out = refs_below(repo, "refs/");
  std::erase_if(out, [](const auto& each) { return !is_synced(each.first); });
  return out;
}

std::string ref_title(std::string_view ref) {
  const auto rest = [&](std::string_view prefix) { return printable(ref.substr(prefix.size())); };
  if (ref.starts_with(trial_prefix)) return "trial " + rest(trial_prefix);
  if (ref.starts_with(marks_prefix)) return "mark " + rest(marks_prefix);
  if (ref.starts_with(archive_prefix)) return "archived " + rest(archive_prefix);
  return printable(ref);
}

RefPlan plan_refs(git_repository& repo, const RefMap& here, const RefMap& there, const RefMap& last,
                  SyncAnswer& answer) {
  std::set<std::string> all;
  for (const auto& [ref, id] : here) all.insert(ref);
  for (const auto& [ref, id] : there) all.insert(ref);
  Planner planner(repo, answer);
  const std::string head = head_of(repo);
  for (const std::string& ref : all) {
    if (ref.starts_with(trial_prefix)) {
      planner.trial(ref, at(here, ref), at(there, ref), at(last, ref), ref == head);
    } else if (ref != main_ref && is_synced(ref)) {
      planner.mark(ref, at(here, ref), at(there, ref), at(last, ref));
    }
  }
  return std::move(planner.plan);
}

}  // namespace keepway::store
