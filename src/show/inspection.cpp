#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string upper_worth(Worth worth) {
  switch (worth) {
    case Worth::good:
      return "GOOD";
    case Worth::doubtful:
      return "DOUBTFUL";
    case Worth::refused:
      return "REFUSED";
  }
  return "";
}

std::string counts_line(const Counts& counts) {
  std::string line;
  std::size_t unread = 0;
  for (const Group group : all_groups) {
    const auto at = static_cast<std::size_t>(group);
    line +=
        fmt::format("{}{} {}", line.empty() ? "" : " · ", group_name(group), with_commas(counts.items[at]));
    unread += counts.unread[at];
  }
  if (unread > 0) line += fmt::format(" · not understood {}", with_commas(unread));
  return line;
}

std::string verdict_line(const Verdict& verdict) {
  std::size_t heavy = 0;
  for (const Reason& reason : verdict.reasons) heavy += reason.weight != Worth::good ? 1U : 0U;
  if (heavy == 0) return "nothing found that speaks against it";
  return count_of(heavy, "reason", "reasons");
}

std::string notes_text(const Context& context, const Verdict& verdict) {
  std::string out;
  for (const Reason& reason : verdict.reasons) {
    if (reason.weight != Worth::good) continue;
    if (out.empty()) out = "\n  Worth knowing\n";
    out += fmt::format("  {} {}\n", paint(context.style, tone_of(reason.weight), "-"),
                       wrap(reason.what, line_width, 4));
  }
  return out;
}

std::string as_before_text(const Verdict& verdict) {
  std::string out;
  std::pair<int, std::string> last{-1, ""};
  for (const AsBefore& each : verdict.as_before) {
    if (std::pair{each.since, each.by} != last)
      out += fmt::format("\n  As before, since #{}, accepted by {}\n", each.since, escape(each.by));
    last = {each.since, each.by};
    out += fmt::format("  = {}\n", wrap(each.reason.what, line_width, 4));
  }
  return out;
}

std::string caution_text(const Context& context, const std::vector<Caution>& cautions) {
  constexpr std::size_t most = 20;
  if (cautions.empty()) return "";
  std::string out = fmt::format("\n  {}\n", paint(context.style, Tone::bad, "Look at these before you cut"));
  for (std::size_t i = 0; i < std::min(most, cautions.size()); ++i) {
    const Caution& each = cautions[i];
    const std::string address = escape(each.address.text());
    std::string line = each.name.empty() ? address : fmt::format("{} ({})", escape(each.name), address);
    if (each.before)
      line +=
          fmt::format(" went from {} to {}", escape(*each.before), escape(each.after.value_or("nothing")));
    else if (each.after)
      line += fmt::format(" is {}", escape(*each.after));
    out += fmt::format("  {} {}\n", paint(context.style, Tone::bad, "!"),
                       wrap(line + ": " + escape(each.why), line_width, 4));
  }
  if (cautions.size() > most)
    out += fmt::format("  and {} more: --json has all of them\n", cautions.size() - most);
  return out;
}

Json caution_json(const Context& context, const Caution& caution) {
  Json json;
  json["codes"] = caution.codes;
  json["address"] = escape(caution.address.text());
  json["name"] = escape(caution.name);
  const auto& [group, key] = caution.address;
  json["before"] = optional_text(as_written(context, group, key, caution.before));
  json["after"] = optional_text(as_written(context, group, key, caution.after));
  json["why"] = escape(caution.why);
  if (!caution.place.file.empty()) json["place"] = to_json(caution.place);
  return json;
}

}  // namespace

std::string doubts_text(const Context& context, const Verdict& verdict) {
  std::string out;
  for (const Reason& reason : verdict.reasons) {
    if (reason.weight == Worth::good) continue;
    out += fmt::format("  {} {}\n    {} {}\n", paint(context.style, tone_of(reason.weight), "!"),
                       wrap(reason.what, line_width, 4), paint(context.style, Tone::faint, "do:"),
                       wrap(reason.remedy, line_width, 8));
  }
  return out;
}

Answer inspection(const Context& context, const Inspection& inspection, const Backup* stored,
                  const std::string& line) {
  const Verdict& verdict = inspection.verdict;
  std::string text;
  text += fmt::format("{}  {}, backup of {}\n", paint(context.style, Tone::strong, context.machine.name),
                      escape(inspection.set.source), format_time(inspection.at));
  text += fmt::format("  {}, {}\n", count_of(verdict.counts.files, "file", "files"),
                      count_of(verdict.counts.bytes, "byte", "bytes"));
  text += fmt::format("  {}\n\n", counts_line(verdict.counts));
  text += fmt::format("{}  {}\n", paint(context.style, tone_of(verdict.worth), upper_worth(verdict.worth)),
                      verdict_line(verdict));
  text += doubts_text(context, verdict) + notes_text(context, verdict);
  text += as_before_text(verdict);
  text += caution_text(context, verdict.cautions);
  text += '\n';
  if (inspection.last) {
    text += inspection.repeat
                ? fmt::format("The same files, byte for byte, as {}.\n", backup_name(*inspection.last))
                : fmt::format("Since {}: {}.\n", backup_name(*inspection.last), inspection.gist);
    if (!inspection.beside.empty()) text += fmt::format("B{}.\n", inspection.beside.substr(1));
  }
  if (stored != nullptr) {
    text += fmt::format("Stored as backup {} on {}.\n", escape(name_of(*stored)), escape(line));
    if (stored->accepted && !verdict.present.empty()) {
      text += fmt::format("{} accepts its reasons from now on: keepway reasons {}\n", escape(stored->who),
                          context.machine.name);
    }
    if (inspection.last && !inspection.repeat && !inspection.changes.empty()) {
      text += fmt::format("What changed: keepway changes {} {} {}\n", context.machine.name,
                          typed_name(*inspection.last), typed_name(*stored));
    }
  } else if (verdict.worth == Worth::refused) {
    text += "Nothing was stored.\n";
  } else {
    text += "Nothing was stored. To store it, use 'intake' instead of 'inspect'.\n";
  }

  Json json = start(stored != nullptr ? "intake" : "inspect", &context);
  json["source"] = escape(inspection.set.source);
  json["at"] = format_time_rfc3339(inspection.at);
  json["verdict"] = to_json(verdict);
  json["cautions"] = Json::array();
  for (const Caution& caution : verdict.cautions) json["cautions"].push_back(caution_json(context, caution));
  json["repeat"] = inspection.repeat;
  json["gist"] = inspection.last ? inspection.gist : "first backup";
  json["beside"] = inspection.last ? inspection.beside : "";
  json["last"] = inspection.last ? to_json(*inspection.last) : Json(nullptr);
  json["stored"] = stored != nullptr ? to_json(*stored) : Json(nullptr);
  if (stored != nullptr) json["line"] = line;
  return {std::move(text), finish(json)};
}

Answer stored_already(const Context& context, const Backup& there) {
  Json json = start("intake", &context);
  json["stored"] = nullptr;
  json["already"] = to_json(there);
  std::string text =
      fmt::format("{}: the same files of the same time are stored already, as {}, {}. Nothing was stored.\n",
                  context.machine.name, backup_name(there), verdict_text(there));
  if (!is_stood_by(there))
    text += "To accept it as it is: --accept. Its reasons: keepway history, keepway reasons.\n";
  return {text + "To judge it again and store it once more: --again.\n", finish(json)};
}

}  // namespace keepway::show
