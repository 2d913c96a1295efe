#include <fmt/format.h>

#include <algorithm>

#include "keepway/exit.hpp"
#include "keepway/restore.hpp"
#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

constexpr std::size_t most_shown = 40;

Tone concern_tone(Concern concern) {
  return concern == Concern::damage ? Tone::bad : concern == Concern::look ? Tone::doubtful : Tone::faint;
}

// "#3, #5 to #9 of main; #4 of trial/x"
std::string backup_list(const std::vector<Affected>& backups) {
  std::string out;
  for (auto at = backups.begin(); at != backups.end();) {
    const auto end =
        std::find_if(at, backups.end(), [&](const Affected& each) { return each.line != at->line; });
    std::string numbers;
    while (at != end) {
      auto last = at;
      while (last + 1 != end && at->number > 0 && (last + 1)->number == last->number + 1) ++last;
      numbers += numbers.empty() ? "" : ", ";
      numbers += at->number == 0 ? fmt::format("the merge of {}", format_time(at->at).substr(0, 10))
                 : at == last
                     ? fmt::format("#{}", at->number)
                     : fmt::format("#{} {} #{}", at->number, last - at == 1 ? "and" : "to", last->number);
      at = last + 1;
    }
    out += fmt::format("{}{} of {}", out.empty() ? "" : "; ", numbers, escape((end - 1)->line));
  }
  return out;
}

std::string finding_text(const Finding& finding, const Style& style) {
  const std::string lead = fmt::format("{}  {}{}", concern_name(finding.concern), escape(finding.where),
                                       finding.where.empty() ? "" : ": ");
  std::string text =
      "  " + paint(style, concern_tone(finding.concern), wrap(lead + escape(finding.what), line_width, 2)) +
      '\n';
  if (!finding.backups.empty())
    text += "    " + wrap("backups: " + backup_list(finding.backups), line_width, 4) + '\n';
  return text + "    " + wrap("what to do: " + escape(finding.remedy), line_width, 4) + '\n';
}

std::string audit_text(const Audit& audit, const Style& style) {
  const char* worth = exit_of(audit) == Exit::done   ? "intact"
                      : exit_of(audit) == Exit::look ? "something to look at"
                                                     : "DAMAGED";
  std::string text = fmt::format(
      "{}  {}: {} ({} bytes), {}, {} compared with their digests, {} rebuilt\n",
      paint(style, Tone::strong, escape(audit.machine)), worth, count_of(audit.objects, "object", "objects"),
      with_commas(audit.bytes), count_of(audit.refs, "ref", "refs"),
      count_of(audit.backups, "backup", "backups"), count_of(audit.derived, "state", "states"));
  for (const std::string& repaired : audit.repaired) text += "  repaired: " + escape(repaired) + '\n';
  const std::size_t shown = std::min(audit.findings.size(), most_shown);
  for (std::size_t i = 0; i < shown; ++i) text += finding_text(audit.findings[i], style);
  if (audit.findings.size() > shown)
    text += fmt::format("  and {} more; --json gives them all\n", audit.findings.size() - shown);
  return text;
}

Json finding_json(const Finding& finding) {
  Json backups = Json::array();
  for (const Affected& backup : finding.backups) {
    backups.push_back({{"line", escape(backup.line)},
                       {"number", backup.number},
                       {"at", format_time_rfc3339(backup.at)},
                       {"commit", backup.commit}});
  }
  return {{"concern", concern_name(finding.concern)}, {"code", finding.code},
          {"where", escape(finding.where)},           {"what", escape(finding.what)},
          {"remedy", escape(finding.remedy)},         {"backups", std::move(backups)}};
}

Json audit_json(const Audit& audit) {
  Json findings = Json::array();
  for (const Finding& finding : audit.findings) findings.push_back(finding_json(finding));
  return {{"machine", escape(audit.machine)},
          {"objects", audit.objects},
          {"bytes", audit.bytes},
          {"refs", audit.refs},
          {"backups", audit.backups},
          {"states", audit.derived},
          {"exit", static_cast<int>(exit_of(audit))},
          {"repaired", audit.repaired},
          {"findings", std::move(findings)}};
}

std::string rescued_text(const std::string& machine, const std::string& folder, const Rescued& rescued,
                         Style style) {
  std::string text = fmt::format("{} into {}\n", machine, escape(folder));
  Grid grid;
  grid.row({"backups, complete", with_commas(rescued.whole)});
  grid.row({"backups, in part", with_commas(rescued.partly)});
  grid.row({"backups of which only the commit is left", with_commas(rescued.lost)});
  grid.row({"files whose names are lost", with_commas(rescued.unnamed)});
  text += grid.text(style) + "RESCUED.tsv in that folder lists them, with what is missing.\n\n" +
          paint(style, Tone::doubtful, "Before you load any of it") + "\n" +
          "  ! These files are old, and nothing has compared them with what the machine holds now.\n";
  for (const std::string& caution : loading_cautions()) text += "  ! " + wrap(caution, line_width, 4) + "\n";
  return text;
}

Json rescued_json(const std::string& machine, const std::string& folder, const Rescued& rescued) {
  Json json = start("audit", nullptr);
  json["machine"] = machine;
  json["folder"] = escape(folder);
  json["whole"] = rescued.whole;
  json["partly"] = rescued.partly;
  json["lost"] = rescued.lost;
  json["unnamed"] = rescued.unnamed;
  json["cautions"] = loading_cautions();
  return json;
}

}  // namespace

Answer audit(const std::vector<Audit>& audits, const std::vector<Failure>& failures, Style style) {
  std::string text;
  for (const Audit& each : audits) text += audit_text(each, style);
  for (const Failure& failure : failures) text += failure_text(failure);
  Json json = start("audit", nullptr);
  json["machines"] = Json::array();
  for (const Audit& each : audits) json["machines"].push_back(audit_json(each));
  for (const Failure& failure : failures) json["machines"].push_back(to_json(failure));
  return {text, finish(json)};
}

Answer rescued(const std::string& machine, const std::string& folder, const Rescued& rescued, Style style) {
  return {rescued_text(machine, folder, rescued, style), finish(rescued_json(machine, folder, rescued))};
}

}  // namespace keepway::show
