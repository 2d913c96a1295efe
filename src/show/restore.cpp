#include <fmt/format.h>

#include <algorithm>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

// Lists longer than this are cut in text after a restore; the plan alone and JSON are whole.
constexpr std::size_t max_parts_listed = 40;

std::string groups_text(const std::vector<Group>& groups) {
  std::string text;
  for (const Group group : groups) text += fmt::format("{}{}", text.empty() ? "" : ", ", group_name(group));
  return text.empty() ? "no group claims it: look before you load it" : text;
}

std::string more(std::size_t all, std::size_t shown) {
  return all > shown ? fmt::format("  … and {} more: --plan or --json shows all\n", all - shown) : "";
}

std::string values_text(const Context& context, const RestorePlan& plan, std::size_t limit) {
  std::string text;
  Grid grid(4);
  std::size_t count = 0;
  for (const PlannedValue& value : plan.values) {
    if (++count > limit) continue;
    const ValueChange& change = value.change;
    const ValueMeaning meaning = explain_change(context.namebook, context.machine.units, change.group,
                                                change.key, change.before, change.after);
    std::string delta = meaning.delta;
    if (!delta.empty() && !meaning.unit.empty()) delta += " " + escape(meaning.unit);
    if (!meaning.other_delta.empty())
      delta += fmt::format(" ({} {})", meaning.other_delta, meaning.other_unit);
    grid.row({escape(meaning.address), escape(meaning.name), change.before ? meaning.before : "(none)", "->",
              meaning.after, delta});
    if (value.living) grid.note(Tone::plain, "living: it will differ again by itself");
    for (const std::string& warning : meaning.warnings) grid.note(Tone::doubtful, "! " + warning);
  }
  text += grid.text(context.style) + more(plan.values.size(), limit);
  count = 0;
  for (const ProgramChange& change : plan.programs) {
    if (++count > limit) continue;
    text += fmt::format(
        "    program {}: {}{}\n", escape(change.name),
        change.kind == ProgramChangeKind::added ? "not on the machine, comes back"
                                                : program_change_name(change.kind),
        change.before_name.empty() ? "" : fmt::format(" (there as {})", escape(change.before_name)));
  }
  return text + more(plan.programs.size(), limit);
}

std::string refusals_text(const Context& context, const std::vector<Refusal>& refusals, std::size_t limit) {
  std::string text;
  std::size_t count = 0;
  for (const Refusal& refusal : refusals) {
    if (++count > limit) continue;
    const std::string place =
        refusal.place.file.empty() ? Address{refusal.address}.text() : refusal.place.text();
    text +=
        fmt::format("  {} {}: {}\n      do: {}\n", paint(context.style, Tone::doubtful, "!"), escape(place),
                    wrap(refusal.why, line_width, 4), wrap(refusal.remedy, line_width, 10));
  }
  return text + more(refusals.size(), limit);
}

// The command that shows whether the machine took it.
std::string proof(const Context& context, const RestoreJob& job) {
  if (!job.from.empty()) {
    return fmt::format("keepway intake {} PATH, then keepway twin {} {}", context.machine.name, job.from,
                       context.machine.name);
  }
  // Numbers are main's; a trial's name may be used again, and what was kept has none: these by the commit.
  constexpr std::size_t enough = 12;
  const bool numbered = job.target.trial.empty() && job.target.number > 0;
  std::string text =
      fmt::format("keepway confirm {} PATH --against {}", context.machine.name,
                  numbered ? fmt::format("'#{}'", job.target.number) : job.target.commit.substr(0, enough));
  for (const Address& each : job.asked) text += " --only " + shell_quoted(escape(each.text()));
  return text;
}

// What is done at the machine, in this order; `limit`: of the files to load.
struct Checklist {
  std::vector<std::string> steps;
  std::size_t loads_end = 0;  // the place behind the last file to load
};

Checklist checklist(const Context& context, const RestoreJob& job, std::size_t limit) {
  Checklist list;
  std::vector<std::string>& steps = list.steps;
  steps.push_back(context.machine.serial.empty()
                      ? "this is the machine that the files are for"
                      : fmt::format("the nameplate's serial is {}", escape(context.machine.serial)));
  steps.push_back("what the machine holds now is backed up");
  constexpr std::size_t most_named = 8;
  for (const Lock& lock : job.plan.locks) {
    const auto end = lock.programs.begin() +
                     static_cast<std::ptrdiff_t>(std::min<std::size_t>(lock.programs.size(), most_named));
    steps.push_back(lock.kind == LockKind::parameter
                        ? "parameter lock off"
                        : fmt::format("program lock off ({})", fmt::join(lock.programs.begin(), end, ", ")));
  }
  for (const LoadStep& step : job.plan.steps) {
    if (limit-- == 0) break;
    steps.push_back(fmt::format("load {}  ({})", escape(step.file), groups_text(step.groups)));
  }
  list.loads_end = steps.size();
  for (const Lock& lock : job.plan.locks) {
    steps.push_back(lock.kind == LockKind::parameter ? "parameter lock on again" : "program lock on again");
  }
  const bool parameters = std::any_of(job.plan.locks.begin(), job.plan.locks.end(),
                                      [](const Lock& lock) { return lock.kind == LockKind::parameter; });
  if (!job.plan.power_cycle.empty()) {
    steps.push_back(
        fmt::format("power off and on: {} of the values take effect only then", job.plan.power_cycle.size()));
  } else if (parameters) {
    steps.push_back("power off and on: some controls take parameters only then");
  }
  steps.push_back("home the machine");
  steps.push_back(fmt::format("back the machine up again and prove it: {}", proof(context, job)));
  return list;
}

constexpr const char* others_stay = "The other files are as the machine last had them: leave them.";
bool leaves_files(const RestoreJob& job) {
  return job.by_item && job.plan.steps.size() < job.set.files.size();
}

std::string checklist_text(const Context& context, const RestoreJob& job, std::size_t limit) {
  const auto [steps, loads_end] = checklist(context, job, limit);
  std::string text = "\nChecklist, in this order\n";
  for (std::size_t i = 0; i < steps.size(); ++i) {
    if (i == loads_end) {
      if (job.plan.steps.size() > limit) {
        text += fmt::format("      … and {} more, in the order of --json's \"steps\"\n",
                            job.plan.steps.size() - limit);
      }
      if (leaves_files(job)) text += fmt::format("      {}\n", others_stay);
    }
    text += fmt::format("  [ ] {}\n", steps[i]);
  }
  return text;
}

Json plan_json(const Context& context, const RestorePlan& plan) {
  Json json;
  json["steps"] = Json::array();
  for (const LoadStep& step : plan.steps) {
    Json each;
    each["file"] = escape(step.file);
    each["groups"] = Json::array();
    for (const Group group : step.groups) each["groups"].push_back(group_name(group));
    each["items"] = step.items;
    json["steps"].push_back(std::move(each));
  }
  json["values"] = Json::array();
  for (const PlannedValue& value : plan.values) {
    Json each = to_json(context, value.change);
    each["living"] = value.living;
    each["power_cycle"] = value.power_cycle;
    json["values"].push_back(std::move(each));
  }
  json["programs"] = Json::array();
  for (const ProgramChange& change : plan.programs) json["programs"].push_back(to_json(change));
  json["locks"] = Json::array();
  for (const Lock& lock : plan.locks) {
    json["locks"].push_back({{"lock", lock.kind == LockKind::parameter ? "parameter lock" : "program lock"},
                             {"programs", lock.programs}});
  }
  json["cannot"] = Json::array();
  for (const Refusal& refusal : plan.cannot) {
    json["cannot"].push_back(
        {{"address", escape(refusal.address.text())}, {"why", refusal.why}, {"remedy", refusal.remedy}});
  }
  return json;
}

std::string reasons_text(const Context& context, const Backup& backup) {
  std::string text;
  for (const std::string& reason : backup.reasons)
    text += paint(context.style, Tone::doubtful, "  ! ") + escape(reason) + "\n";
  return text;
}

std::uint64_t bytes_of(const media::Set& set) {
  std::uint64_t bytes = 0;
  for (const media::File& file : set.files) bytes += file.bytes.size();
  return bytes;
}

// What is put back, out of which backup.
std::string source_text(const Context& context, const RestoreJob& job) {
  std::string text = fmt::format(
      "{}  {} backup {}{}, {}\n", paint(context.style, Tone::strong, context.machine.name),
      job.by_item  ? "single items as in"
      : job.merged ? "the merged state of"
                   : "everything as in",
      backup_name(job.target), job.from.empty() ? "" : " of " + job.from, verdict_text(job.target));
  text += reasons_text(context, job.target);
  if (job.by_item && job.known.commit != job.target.commit) {
    text += fmt::format("  in the files of {}, {}\n", backup_name(job.known), verdict_text(job.known));
    text += reasons_text(context, job.known);
  }
  return text + fmt::format("  {}, {}\n", count_of(job.set.files.size(), "file", "files"),
                            count_of(bytes_of(job.set), "byte", "bytes"));
}

// Where the files are, once they are written.
std::string written_text(const RestoreFacts& facts) {
  if (facts.written.empty()) return "\nThis is only the plan: nothing was written.\n";
  std::string text =
      fmt::format("\n{} written to {}; read back, SHA-256 of each equal to what it should be.\n",
                  count_of(facts.job.set.files.size(), "file", "files"), escape(facts.target));
  if (!facts.kept.empty()) text += fmt::format("What was there before is stored as {}\n", escape(facts.kept));
  if (!facts.short_names.empty()) {
    text += fmt::format("Names that a floppy cannot hold were shortened (the table is in {}):\n",
                        escape(facts.short_names_in));
    for (const media::ShortName& each : facts.short_names)
      text += fmt::format("  {:<12}  for {}\n", escape(each.on_floppy), escape(each.name));
  }
  if (facts.written.size() > 1) {
    for (const std::string& path : facts.written) text += fmt::format("  {}\n", escape(path));
  }
  return text;
}

std::string restore_text(const Context& context, const RestoreFacts& facts) {
  const RestoreJob& job = facts.job;
  const std::size_t limit = facts.written.empty() ? SIZE_MAX : max_parts_listed;
  std::string text = source_text(context, job);
  text += fmt::format("\nWhat it changes on the machine, as last known from {}\n", backup_name(job.known));
  if (!job.read_the_same_way) text += read_otherwise_text(context.style);
  if (job.plan.values.empty() && job.plan.programs.empty())
    text += "    nothing: the machine holds it already\n";
  text += values_text(context, job.plan, limit);
  if (!job.plan.cannot.empty())
    text += "\nWhat it cannot do\n" + refusals_text(context, job.plan.cannot, limit);
  text += "\n" + paint(context.style, Tone::doubtful, "Before you load it") + "\n";
  for (const std::string& caution : loading_cautions()) text += "  ! " + wrap(caution, line_width, 4) + "\n";
  return text + checklist_text(context, job, limit) + written_text(facts);
}

std::string restore_json(const Context& context, const RestoreFacts& facts) {
  const RestoreJob& job = facts.job;
  Json json = start("restore", &context);
  json["backup"] = to_json(job.target);
  json["known"] = to_json(job.known);
  json["by_item"] = job.by_item;
  json["from"] = job.from;
  json["read_alike"] = job.read_the_same_way;
  json["proof"] = proof(context, job);
  json["merged"] = job.merged;
  json["plan"] = plan_json(context, job.plan);
  json["steps"] = json["plan"]["steps"];  // where programs look for the order of loading first
  json["files"] = job.set.files.size();
  json["bytes"] = bytes_of(job.set);
  json["digest"] = facts.digest;
  json["to"] = facts.written.empty() ? Json(nullptr) : Json(escape(facts.target));
  json["written"] = facts.written;
  json["kept"] = facts.kept;
  json["short_names"] = Json::array();
  for (const media::ShortName& each : facts.short_names)
    json["short_names"].push_back({{"on_floppy", escape(each.on_floppy)}, {"name", escape(each.name)}});
  json["cautions"] = loading_cautions();
  json["checklist"] = checklist(context, job, SIZE_MAX).steps;
  json["leave"] = leaves_files(job) ? Json(others_stay) : Json(nullptr);
  return finish(json);
}

}  // namespace

Answer restore(const Context& context, const RestoreFacts& facts) {
  return {restore_text(context, facts), restore_json(context, facts)};
}

}  // namespace keepway::show
