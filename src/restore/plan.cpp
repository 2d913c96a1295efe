#include "keepway/plan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "restore/protection.hpp"

namespace keepway {
namespace {

class Planner {
 public:
  explicit Planner(const PlanInput& input) : input_(input), loaded_(input.set.files.size(), false) {
    std::set<std::string_view> names;
    if (input.files) names.insert(input.files->begin(), input.files->end());
    for (std::size_t i = 0; i < loaded_.size(); ++i) {
      loaded_[i] = !input.files || names.contains(input.set.files[i].name);
    }
  }

  RestorePlan make() {
    plan_.cannot = input_.refused;
    find_steps();
    find_groups();
    const Changes changes = compare(input_.known, input_.reading.state);
    for (const ValueChange& change : changes.values) take(change);
    for (const ProgramChange& change : changes.programs) take(change);
    find_locks();
    find_unread_files();
    return std::move(plan_);
  }

 private:
  [[nodiscard]] bool is_loaded(Group group, std::string_view key) const {
    const Origin* origin = input_.reading.origin(group, key);
    return origin != nullptr && loaded_[origin->span.file];
  }

  void find_steps() {
    std::set<std::string_view> names;
    for (std::size_t i = 0; i < loaded_.size(); ++i) {
      if (loaded_[i]) names.insert(input_.set.files[i].name);
    }
    for (LoadStep& step : load_order(input_.set, input_.reading, input_.layout)) {
      if (names.contains(step.file)) plan_.steps.push_back(std::move(step));
    }
  }

  void find_groups() {
    std::set<Group> held;
    for (const LoadStep& step : plan_.steps) held.insert(step.groups.begin(), step.groups.end());
    plan_.groups.assign(held.begin(), held.end());
  }

  [[nodiscard]] bool loads(Group group) const {
    return std::binary_search(plan_.groups.begin(), plan_.groups.end(), group);
  }

  void stays(Address address, std::string remedy) {
    plan_.cannot.push_back({std::move(address),
                            "the machine has it and the files do not: loading does not remove it",
                            std::move(remedy),
                            {}});
  }

  void take(const ValueChange& change) {
    Address address{change.group, change.key};
    if (is_unread(change.key)) return;  // no value that anybody could check; the files hold it all the same
    if (!change.after) {
      if (loads(change.group)) stays(std::move(address), "clear it at the control if it must go");
      return;
    }
    if (!is_loaded(change.group, change.key)) return;
    PlannedValue value{change, false, false, {}};
    if (const std::optional<Entry> entry = input_.namebook.find(change.group, change.key)) {
      value.living = entry->living;
      value.power_cycle = entry->power_cycle;
      value.caution = entry->caution;
    }
    if (value.power_cycle) plan_.power_cycle.push_back(std::move(address));
    plan_.values.push_back(std::move(value));
  }

  void take(const ProgramChange& change) {
    if (change.kind == ProgramChangeKind::removed) {
      if (loads(Group::programs) || !input_.dropped.empty()) {
        stays({Group::programs, change.name}, "delete it at the control if it must go");
      }
      return;
    }
    if (!is_loaded(Group::programs, change.name)) return;
    if (change.kind == ProgramChangeKind::renamed) {
      stays({Group::programs, change.before_name}, "delete it at the control if it must go");
    }
    plan_.programs.push_back(change);
  }

  void find_locks() {
    Lock parameter{LockKind::parameter, {}, {}};
    Lock lock{LockKind::program, {}, {}};
    for (const LoadStep& step : plan_.steps) {
      const auto& groups = step.groups;
      if (std::find(groups.begin(), groups.end(), Group::parameters) != groups.end()) {
        parameter.files.push_back(step.file);
      }
      if (step.protected_programs) lock.files.push_back(step.file);
    }
    for (const ProgramFacts& program : input_.reading.programs) {
      if (!loaded_[program.span.file] || !restore::is_protected(input_.layout, program)) continue;
      lock.programs.push_back(program.name);
    }
    if (!parameter.files.empty()) plan_.locks.push_back(std::move(parameter));
    if (!lock.files.empty()) plan_.locks.push_back(std::move(lock));
  }

  void find_unread_files() {
    for (std::size_t i = 0; i < loaded_.size(); ++i) {
      const FileFacts& facts = input_.reading.files[i];
      const std::string& name = input_.set.files[i].name;
      if (!loaded_[i]) continue;
      if (facts.source == FileFacts::no_source) {
        plan_.cannot.push_back(
            {{Group::parameters, ""},
             fmt::format("no source of the layout fits {}: what it changes is not known", escape(name)),
             "load it only when you know what it is",
             {name}});
      } else if (facts.wrong_serial) {
        plan_.cannot.push_back({{input_.layout.sources[facts.source].group, ""},
                                fmt::format("{} does not carry this machine's serial number", escape(name)),
                                "make sure that it belongs to this machine before you load it",
                                {name}});
      }
    }
  }

  const PlanInput& input_;
  std::vector<bool> loaded_;  // by file of the set
  RestorePlan plan_;
};

}  // namespace

RestorePlan plan(const PlanInput& input) {
  return Planner(input).make();
}

}  // namespace keepway
