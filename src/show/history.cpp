// Which backups there are, and which are good.
#include <fmt/format.h>

#include <algorithm>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string rewritten_text(const Context& context, const std::vector<store::CommitInfo>& rewritten) {
  if (rewritten.empty()) return "";
  std::string text;
  for (const store::CommitInfo& each : rewritten) {
    text += paint(context.style, Tone::doubtful,
                  fmt::format("! {} of {} is not a backup: rewritten by Git ({})\n", each.id.substr(0, 10),
                              format_time(each.at), escape(each.summary)));
  }
  return text +
         fmt::format("  put the branch in order: keepway hooks {} --in-order\n\n", context.machine.name);
}

// All of them are in the JSON.
std::string marked_text(const std::vector<std::string>& marks) {
  constexpr std::size_t most = 20;
  std::string text = "marked: ";
  for (std::size_t i = 0; i < std::min(marks.size(), most); ++i)
    text += (i == 0 ? "" : ", ") + escape(marks[i]);
  if (marks.size() > most) text += fmt::format(" and {} more", with_commas(marks.size() - most));
  return text;
}

void add_row(Grid& grid, const Backup& backup, bool all_reasons) {
  const std::string name = name_of(backup);
  grid.row({backup.withdrawn ? fmt::format("-{}-", escape(name)) : escape(name), format_time(backup.at),
            verdict_text(backup), escape(backup.who), escape(backup.gist)},
           backup.withdrawn ? Tone::struck : Tone::plain);
  for (std::string& said : said_of(backup)) grid.note(Tone::plain, std::move(said));
  if (!backup.marks.empty()) grid.note(Tone::strong, marked_text(backup.marks));
  if (!backup.note.empty()) grid.note(Tone::plain, fmt::format("note: {}", escape(backup.note)));
  const std::size_t shown =
      all_reasons ? backup.reasons.size() : std::min<std::size_t>(1, backup.reasons.size());
  for (std::size_t i = 0; i < shown; ++i) {
    std::string line = "! " + escape(backup.reasons[i]);
    if (shown < backup.reasons.size())
      line += fmt::format("  (and {} more: --reasons)", backup.reasons.size() - shown);
    grid.note(tone_of(backup.worth), std::move(line));
  }
  if (shown > 0 && !backup.remedy.empty()) grid.note(Tone::plain, "do: " + escape(backup.remedy));
}

std::string history_text(const Context& context, const std::vector<Backup>& backups,
                         const std::vector<store::CommitInfo>& rewritten, bool all_reasons) {
  Grid grid;
  if (!backups.empty()) grid.heading({"backup", dated("date"), "verdict", "who", "changes"});
  for (const Backup& backup : backups) add_row(grid, backup, all_reasons);
  return fmt::format("{}  {}\n\n", paint(context.style, Tone::strong, context.machine.name),
                     backups.empty() ? "no backups yet" : count_of(backups.size(), "backup", "backups")) +
         rewritten_text(context, rewritten) + grid.text(context.style);
}

Json history_json(const Context& context, const std::vector<Backup>& backups,
                  const std::vector<store::CommitInfo>& rewritten) {
  Json json = start("history", &context);
  json["backups"] = Json::array();
  for (const Backup& backup : backups) json["backups"].push_back(to_json(backup));
  json["rewritten"] = Json::array();
  for (const store::CommitInfo& each : rewritten) {
    json["rewritten"].push_back({{"commit", each.id},
                                 {"at", format_time_rfc3339(each.at)},
                                 {"by", escape(each.author)},
                                 {"summary", escape(each.summary)}});
  }
  return json;
}

}  // namespace

Answer history(const Context& context, const std::vector<Backup>& backups,
               const std::vector<store::CommitInfo>& rewritten, bool all_reasons) {
  if (context.style.json) return {"", finish(history_json(context, backups, rewritten))};
  return {history_text(context, backups, rewritten, all_reasons), ""};
}

}  // namespace keepway::show
