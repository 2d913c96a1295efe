#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

constexpr std::size_t most_lines = 40;  // of a list, unless it was asked for by --dry-run

std::string_view dated_by(PileEntry::DatedBy by) {
  switch (by) {
    case PileEntry::DatedBy::name:
      return "name";
    case PileEntry::DatedBy::files:
      return "file times";
    case PileEntry::DatedBy::label:
      return "volume label";
    case PileEntry::DatedBy::none:
      break;
  }
  return "";
}

std::string_view fate_name(PileStep::Fate fate, bool dry_run) {
  switch (fate) {
    case PileStep::Fate::stored:
      return dry_run ? "to store" : "stored";
    case PileStep::Fate::there_already:
      return "stored already";
    case PileStep::Fate::refused:
      return "refused";
    case PileStep::Fate::unreadable:
      break;
  }
  return "unreadable";
}

std::string left_text(const Pile& pile, const Style& style, bool whole) {
  if (pile.left.empty()) return "";
  std::string text = fmt::format("\n{} left out:\n", count_of(pile.left.size(), "thing is", "things are"));
  Grid grid;
  for (std::size_t i = 0; i < pile.left.size() && (whole || i < most_lines); ++i) {
    grid.row({escape(pile.left[i].name), escape(pile.left[i].why_not)});
  }
  text += grid.text(style);
  if (!whole && pile.left.size() > most_lines)
    text += fmt::format("  and {} more: --dry-run lists them all\n", pile.left.size() - most_lines);
  return text;
}

bool is_doubtful(const PileStep& step) {
  return step.fate == PileStep::Fate::stored && step.backup && step.backup->worth != Worth::good;
}

std::string remark_text(const PileStep& step) {
  return step.entry->remark.empty() ? "" : "; " + escape(step.entry->remark);
}

// What came of one backup, as the list says it.
std::string fate_text(const PileStep& step, bool dry_run) {
  if (is_doubtful(step)) {
    const auto& reasons = step.backup->reasons;
    std::string text = fmt::format("{} doubtful: {}", escape(name_of(*step.backup)),
                                   reasons.empty() ? "" : escape(reasons.front()));
    if (reasons.size() > 1) text += fmt::format(" (and {} more)", reasons.size() - 1);
    return text;
  }
  std::string text(fate_name(step.fate, dry_run));
  if (step.backup && step.fate == PileStep::Fate::there_already && step.backup->number > 0)
    text += " as " + escape(name_of(*step.backup));
  if (!step.why.empty()) text += ": " + escape(step.why);
  return text;
}

// A dry run lists each backup; else those alone that somebody should look at.
std::string steps_text(const Context& context, const std::vector<PileStep>& steps, bool dry_run) {
  Grid grid;
  std::size_t lines = 0;
  if (dry_run && !steps.empty()) grid.heading({dated("date"), "dated by", "backup", ""});
  for (const PileStep& step : steps) {
    const bool remarkable = !step.entry->remark.empty() && step.fate != PileStep::Fate::there_already;
    const bool worth_a_line = remarkable || is_doubtful(step) || step.fate == PileStep::Fate::refused ||
                              step.fate == PileStep::Fate::unreadable;
    if (!dry_run && (!worth_a_line || lines++ >= most_lines)) continue;
    grid.row({format_time(step.entry->at), std::string(dated_by(step.entry->by)), escape(step.entry->name),
              fate_text(step, dry_run) + remark_text(step)});
  }
  std::string text = grid.text(context.style);
  if (!text.empty()) text.insert(0, "\n");
  if (lines > most_lines)
    text += fmt::format("  and {} more: keepway history {}\n", lines - most_lines, context.machine.name);
  return text;
}

std::string sum_text(const std::vector<PileStep>& steps, bool dry_run) {
  std::map<std::string_view, std::size_t> counts;
  for (const PileStep& step : steps) {
    ++counts[fate_name(step.fate, dry_run)];
    if (is_doubtful(step)) ++counts["doubtful"];
  }
  std::string sum;
  for (const std::string_view fate :
       {"to store", "stored", "doubtful", "stored already", "refused", "unreadable"}) {
    if (counts[fate] == 0) continue;
    sum += fmt::format("{}{} {}", sum.empty() ? "" : " · ", counts[fate],
                       fate == "doubtful" ? "of these doubtful" : fate);
  }
  return fmt::format("\n{}\n", sum.empty() ? "nothing to take in" : sum);
}

std::string pile_text(const Context& context, const Pile& pile, const std::vector<PileStep>& steps,
                      bool dry_run) {
  std::string text = steps_text(context, steps, dry_run) + sum_text(steps, dry_run);
  if (steps.size() < pile.entries.size()) {
    text += fmt::format("Stopped: {} remain. The same command continues from here.\n",
                        pile.entries.size() - steps.size());
  } else if (dry_run && std::any_of(steps.begin(), steps.end(), [](const PileStep& step) {
               return step.fate == PileStep::Fate::stored;
             })) {
    text += "Nothing was stored. To take them in, leave out --dry-run.\n";
  }
  return text;
}

Json step_json(const PileStep& step, bool dry_run) {
  Json json = {{"name", escape(step.entry->name)},
               {"at", format_time_rfc3339(step.entry->at)},
               {"dated_by", dated_by(step.entry->by)},
               {"fate", fate_name(step.fate, dry_run)}};
  if (step.entry->slot) json["slot"] = *step.entry->slot;
  if (!step.why.empty()) json["why"] = escape(step.why);
  if (!step.entry->remark.empty()) json["remark"] = escape(step.entry->remark);
  if (step.backup && step.backup->number > 0) json["backup"] = to_json(*step.backup);
  return json;
}

Json pile_json(const Context& context, const Pile& pile, const std::vector<PileStep>& steps, bool dry_run) {
  Json json = start("pile", &context);
  json["dry_run"] = dry_run;
  json["entries"] = Json::array();
  for (const PileStep& step : steps) json["entries"].push_back(step_json(step, dry_run));
  json["left"] = Json::array();
  for (const PileEntry& entry : pile.left) {
    Json left = {{"name", escape(entry.name)}, {"why", escape(entry.why_not)}};
    if (entry.slot) left["slot"] = *entry.slot;
    json["left"].push_back(std::move(left));
  }
  json["stopped"] = steps.size() < pile.entries.size();
  return json;
}

}  // namespace

Answer pile_plan(const Context& context, const Pile& pile, bool whole) {
  std::string text = fmt::format("{}  {} found", paint(context.style, Tone::strong, context.machine.name),
                                 count_of(pile.entries.size(), "backup", "backups"));
  if (!pile.entries.empty()) {
    text += fmt::format(", {} to {}", format_time(pile.entries.front().at).substr(0, 10),
                        format_time(pile.entries.back().at).substr(0, 10));
  }
  text += '\n' + left_text(pile, context.style, whole);
  return {text, ""};
}

Answer pile(const Context& context, const Pile& pile, const std::vector<PileStep>& steps, bool dry_run) {
  return {pile_text(context, pile, steps, dry_run), finish(pile_json(context, pile, steps, dry_run))};
}

}  // namespace keepway::show
