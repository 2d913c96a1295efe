#include <fmt/format.h>

#include <algorithm>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

// A value of a clash: programs are recognised by their length.
std::string side_text(const Context& context, const Address& address,
                      const std::optional<std::string>& value) {
  if (!value) return "(none)";
  if (address.group == Group::programs) {
    return count_of(static_cast<std::size_t>(std::count(value->begin(), value->end(), '\n')), "block",
                    "blocks");
  }
  return explain_value(context.namebook.find(address.group, address.key), context.machine.units, *value);
}

std::string state_text(const Trial& trial) {
  if (trial.in_progress) return "in progress: intakes go to it";
  if (trial.ended.empty()) return "paused on this PC";
  return trial.backups == 0 ? trial.ended
                            : fmt::format("{}; its backups: '{} #1'{}", trial.ended, trial.name,
                                          trial.backups == 1 ? "" : fmt::format(" to #{}", trial.backups));
}

void add_rows(Grid& grid, const std::vector<Trial>& trials) {
  for (const Trial& trial : trials) {
    grid.row({trial.name, format_time(trial.begun), escape(name_of(trial.base)),
              std::to_string(trial.backups), escape(trial.who), state_text(trial)});
    if (!trial.note.empty()) grid.note(Tone::plain, "note: " + escape(trial.note));
  }
}

std::string list_text(const Context& context, const std::vector<Trial>& trials,
                      const std::vector<Trial>& ended) {
  std::string text =
      fmt::format("{}  {}{}\n", paint(context.style, Tone::strong, context.machine.name),
                  trials.empty() ? "no trials" : count_of(trials.size(), "trial", "trials"),
                  ended.empty() ? "" : fmt::format(", {} put away", with_commas(ended.size())));
  Grid grid;
  if (!trials.empty() || !ended.empty()) {
    text += '\n';
    grid.heading({"trial", dated("begun"), "from", "backups", "who", "state"});
  }
  add_rows(grid, trials);
  add_rows(grid, ended);
  return text + grid.text(context.style);
}

Json trials_json(const std::vector<Trial>& trials) {
  Json json = Json::array();
  for (const Trial& trial : trials) {
    json.push_back({{"name", trial.name},
                    {"begun", format_time_rfc3339(trial.begun)},
                    {"by", escape(trial.who)},
                    {"note", escape(trial.note)},
                    {"base", to_json(trial.base)},
                    {"newest", trial.newest ? to_json(*trial.newest) : Json(nullptr)},
                    {"backups", trial.backups},
                    {"in_progress", trial.in_progress},
                    {"ended", trial.ended.empty() ? Json(nullptr) : Json(trial.ended)}});
  }
  return json;
}

Json list_json(const Context& context, const std::vector<Trial>& trials, const std::vector<Trial>& ended) {
  Json json = start("trial", &context);
  json["trials"] = trials_json(trials);
  json["put_away"] = trials_json(ended);
  return json;
}

// What must be chosen before anything is merged, and the command that chooses.
std::string clashes_text(const Context& context, const Keep& keep) {
  std::string text = fmt::format("{} of trial {} also changed on main, to another value:\n\n",
                                 count_of(keep.merge.clashes.size(), "item", "items"), keep.trial.name);
  Grid grid;
  grid.heading({"item", "name", "before", "main", "trial"});
  for (const Clash& clash : keep.merge.clashes) {
    grid.row({escape(clash.address.text()), escape(item_name(context, clash.address)),
              side_text(context, clash.address, clash.base), side_text(context, clash.address, clash.ours),
              side_text(context, clash.address, clash.theirs)});
  }
  text += grid.text(context.style);
  std::string command = fmt::format("keepway trial {} keep {}", context.machine.name, keep.trial.name);
  for (const Address& each : keep.only) command += " --only " + shell_quoted(escape(each.text()));
  text += "\nNothing was merged. Choose a side for each item, or one for all:\n  " + command;
  for (const Clash& clash : keep.merge.clashes)
    text += " --prefer " + shell_quoted(escape(clash.address.text()) + "=trial");
  return text += "\n  " + command + " --prefer main\n";
}

std::string changes_text(const Context& context, const Changes& changes) {
  Grid grid;
  for (const ValueChange& change : changes.values) {
    const ValueMeaning meaning = explain_change(context.namebook, context.machine.units, change.group,
                                                change.key, change.before, change.after);
    grid.row({escape(meaning.address), escape(meaning.name), change.before ? meaning.before : "(none)", "->",
              change.after ? meaning.after : "(gone)"});
  }
  for (const ProgramChange& change : changes.programs)
    grid.row({"programs/" + escape(change.name), "", program_change_name(change.kind)});
  return grid.text(context.style);
}

std::size_t rest_of(const Keep& keep) {
  return keep.rest.values.size() + keep.rest.programs.size();
}

std::string stored_text(const Context& context, const Keep& keep) {
  if (!keep.stored) return "";
  return "\nThe merged state is on main but is not a backup: it has no number, and the machine does not hold "
         "it yet." +
         (keep.record_only
              ? " It is a record: no restore set can be made of it.\n"
              : fmt::format(" To put it on the machine:\n  keepway restore {} --at '{}' --to DIR{}\n",
                            context.machine.name, name_of(*keep.stored),
                            keep.stored->worth == Worth::good ? "" : " --accept"));
}

std::string keep_text(const Context& context, const Keep& keep) {
  std::string text;
  for (const Group group : keep.missing) {
    text += fmt::format("{}: missing from the trial's newest backup; nothing of it is merged\n",
                        group_name(group));
  }
  if (!keep.merge.clean()) return text += clashes_text(context, keep);
  text += fmt::format("Trial {} is kept: {}.\n", keep.trial.name,
                      keep.carried.empty()
                          ? "it changes nothing on main"
                          : count_of(keep.carried.size(), "item", "items") + " of it now on main");
  text += changes_text(context, keep.changes);
  if (!keep.rest.empty()) {
    text += fmt::format("\nThe rest of the trial stays a trial: {}. To see it: keepway trial {} changes {}\n",
                        count_of(rest_of(keep), "item", "items"), context.machine.name, keep.trial.name);
  }
  return text += stored_text(context, keep);
}

Json keep_json(const Context& context, const Keep& keep) {
  Json json = start("trial", &context);
  json["trial"] = keep.trial.name;
  json["kept"] = keep.stored.has_value();
  json["clashes"] = Json::array();
  for (const Clash& clash : keep.merge.clashes) {
    const auto side = [&](const std::optional<std::string>& value) {
      return optional_text(as_written(context, clash.address.group, clash.address.key, value));
    };
    json["clashes"].push_back({{"address", escape(clash.address.text())},
                               {"name", item_name(context, clash.address)},
                               {"base", side(clash.base)},
                               {"main", side(clash.ours)},
                               {"trial", side(clash.theirs)}});
  }
  json["carried"] = Json::array();
  for (const Address& address : keep.carried) json["carried"].push_back(escape(address.text()));
  json["missing"] = Json::array();
  for (const Group group : keep.missing) json["missing"].push_back(group_name(group));
  if (!keep.merge.clean()) return json;
  json["rest"] = rest_of(keep);
  if (keep.stored) {
    json["restorable"] = !keep.record_only;
    json["stored"] = to_json(*keep.stored);
  }
  return json;
}

}  // namespace

Answer trial_list(const Context& context, const std::vector<Trial>& trials, const std::vector<Trial>& ended) {
  return {list_text(context, trials, ended), finish(list_json(context, trials, ended))};
}

Answer trial_keep(const Context& context, const Keep& keep) {
  return {keep_text(context, keep), finish(keep_json(context, keep))};
}

}  // namespace keepway::show
