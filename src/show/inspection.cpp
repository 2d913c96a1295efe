#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

constexpr std::size_t line_width = 100;

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

std::string reasons_text(const Context& context, const Verdict& verdict) {
  std::string out;
  bool notes = false;
  for (const Reason& reason : verdict.reasons) {
    if (reason.weight == Worth::good && !notes) {
      notes = true;
      out += "\n  Worth knowing\n";
    }
    const char* sign = reason.weight == Worth::good ? "-" : "!";
    out += fmt::format("  {} {}\n", paint(context.style, tone_of(reason.weight), sign),
                       wrap(reason.what, line_width, 4));
    if (reason.weight != Worth::good) {
      out += fmt::format("    {} {}\n", paint(context.style, Tone::faint, "do:"),
                         wrap(reason.remedy, line_width, 8));
    }
  }
  return out;
}

}  // namespace

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
  text += reasons_text(context, verdict);
  text += '\n';
  if (inspection.last) {
    text += inspection.repeat
                ? fmt::format("The same files, byte for byte, as {}.\n", backup_name(*inspection.last))
                : fmt::format("Since {}: {}.\n", backup_name(*inspection.last), gist(inspection.changes));
  }
  if (stored != nullptr) {
    text += fmt::format("Stored as backup #{} on {}.\n", stored->number, escape(line));
    if (inspection.last && !inspection.repeat && !inspection.changes.empty()) {
      text += fmt::format("What changed: keepway changes {}\n", context.machine.name);
    }
  } else if (verdict.worth == Worth::refused) {
    text += "Nothing was stored.\n";
  } else {
    text += "Nothing was stored. To store it, say the same with 'intake' in place of 'inspect'.\n";
  }

  Json json = start(stored != nullptr ? "intake" : "inspect", &context);
  json["source"] = escape(inspection.set.source);
  json["at"] = format_time_rfc3339(inspection.at);
  json["verdict"] = to_json(verdict);
  json["repeat"] = inspection.repeat;
  json["gist"] = inspection.last ? gist(inspection.changes) : "first backup";
  json["last"] = inspection.last ? to_json(*inspection.last) : Json(nullptr);
  json["stored"] = stored != nullptr ? to_json(*stored) : Json(nullptr);
  if (stored != nullptr) json["line"] = line;
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
