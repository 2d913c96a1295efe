#include "show/text.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace keepway::show {

std::string paint(const Style& style, Tone tone, std::string_view text) {
  const char* code = nullptr;
  switch (tone) {
    case Tone::plain:
      break;
    case Tone::strong:
      code = "1";
      break;
    case Tone::faint:
      code = "2";
      break;
    case Tone::good:
      code = "32";
      break;
    case Tone::doubtful:
      code = "33";
      break;
    case Tone::struck:
      code = "9";
      break;
    case Tone::bad:
      code = "31;1";
      break;
  }
  if (!style.color || code == nullptr || text.empty()) return std::string(text);
  return fmt::format("\x1b[{}m{}\x1b[0m", code, text);
}

Tone tone_of(Worth worth) {
  switch (worth) {
    case Worth::good:
      return Tone::good;
    case Worth::doubtful:
      return Tone::doubtful;
    case Worth::refused:
      return Tone::bad;
  }
  return Tone::plain;
}

std::size_t width(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80; }));
}

std::string shortened(std::string_view text, std::size_t most) {
  if (width(text) <= most) return std::string(text);
  std::size_t at = 0;
  for (std::size_t characters = 0; at < text.size() && characters + 1 < most; ++characters) {
    do ++at;
    while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80);
  }
  return std::string(text.substr(0, at)) + "\u2026";
}

std::string wrap(std::string_view text, std::size_t columns, std::size_t indent) {
  std::string out;
  std::size_t at = indent;
  bool first = true;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (!first && at + 1 + width(word) > columns) {
      (out += '\n').append(indent, ' ');
      at = indent;
    } else if (!first) {
      out += ' ';
      ++at;
    }
    out += word;
    at += width(word);
    first = false;
  }
  return out;
}

void Grid::note(Tone tone, std::string text) {
  if (!rows_.empty()) rows_.back().notes.emplace_back(tone, std::move(text));
}

std::string Grid::text(const Style& style) const {
  std::vector<std::size_t> widths;
  for (const Row& row : rows_) {
    widths.resize(std::max(widths.size(), row.cells.size()));
    for (std::size_t i = 0; i < row.cells.size(); ++i) widths[i] = std::max(widths[i], width(row.cells[i]));
  }
  std::string out;
  for (const Row& row : rows_) {
    const std::size_t begin = out.size();
    out.append(indent_, ' ');
    for (std::size_t i = 0; i < row.cells.size(); ++i) {
      out += row.cells[i];
      if (i + 1 < row.cells.size()) out.append(widths[i] - width(row.cells[i]) + 2, ' ');
    }
    while (out.size() > begin && out.back() == ' ') out.pop_back();
    if (row.tone != Tone::plain)
      out.replace(begin, std::string::npos, paint(style, row.tone, out.substr(begin)));
    out += '\n';
    for (const auto& [tone, text] : row.notes) {
      out.append(indent_ + 4, ' ');
      out += paint(style, tone, text) + '\n';
    }
  }
  return out;
}

std::string item_name(const Context& context, const Address& address) {
  const auto entry = context.namebook.find(address.group, address.key);
  return entry ? entry->name : "";
}

std::string delta_text(const ValueMeaning& meaning) {
  if (meaning.delta.empty()) return "";
  std::string text = meaning.delta;
  if (!meaning.unit.empty()) text += " " + escape(meaning.unit);
  if (!meaning.other_delta.empty()) text += fmt::format(" ({} {})", meaning.other_delta, meaning.other_unit);
  return text;
}

std::string written(const Precision& precision, const std::optional<Entry>& entry, Group group,
                    const std::string& key, const std::string& value) {
  return entry && entry->kind != Kind::number ? value : precision.written(group, key, value);
}

ValueMeaning meaning_of(const Context& context, const ValueChange& change) {
  return explain_change(context.namebook, context.machine.units, change.group, change.key, change.before,
                        change.after);
}

std::string count_of(std::size_t number, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", with_commas(number), number == 1 ? one : many);
}

std::string with_commas(std::uint64_t number) {
  std::string digits = std::to_string(number);
  for (std::size_t i = digits.size(); i > 3; i -= 3) digits.insert(i - 3, 1, ',');
  return digits;
}

std::string escape_lines(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    out += escape(text.substr(0, end));
    if (end == std::string_view::npos) break;
    out += '\n';
    text.remove_prefix(end + 1);
  }
  return out;
}

std::string failure_text(const Failure& failure) {
  return fmt::format("{}  failed: {}\n  what to do: {}\n", escape(failure.machine),
                     escape(failure.error.message()), escape(failure.error.remedy()));
}

std::string shell_quoted(std::string_view text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

std::string read_otherwise_text(const Style& style) {
  return paint(style, Tone::doubtful, "  ! ") +
         "the layout, units or serial were changed between the two: what is listed here may be the same\n    "
         "bytes read in another way\n";
}

std::string verdict_text(const Backup& backup) {
  return fmt::format("{}{}{}", worth_name(backup.worth), backup.accepted ? ", accepted" : "",
                     backup.withdrawn ? ", withdrawn" : "");
}

std::vector<std::string> said_of(const Backup& backup) {
  std::vector<std::string> lines;
  if (const auto& word = backup.withdrawn) {
    lines.push_back(fmt::format("withdrawn by {} on {}: {}", escape(word->by), format_time(word->when),
                                escape(word->why)));
  }
  if (const auto& was = backup.as_stored) {
    std::string line = fmt::format("corrected by {} on {}; stored as of {} by {}", escape(was->corrected_by),
                                   format_time(was->corrected), format_time(was->at), escape(was->who));
    if (!was->note.empty() && was->note != backup.note) line += fmt::format(", note: {}", escape(was->note));
    lines.push_back(std::move(line));
  }
  return lines;
}

std::string beside_text(const Style& style, const Backup& at, const Beside& beside) {
  std::string text;
  const auto line = [&](Tone tone, const std::string& what) {
    text += "  " + paint(style, tone, what) + "\n";
  };
  for (const std::string& said : said_of(at)) line(at.withdrawn ? Tone::bad : Tone::plain, "! " + said);
  if (!is_stood_by(at) && at.kept.empty()) {
    std::string why = at.reasons.empty() ? std::string(worth_name(at.worth)) : escape(at.reasons.front());
    if (at.reasons.size() > 1) why += fmt::format("  (and {} more)", at.reasons.size() - 1);
    line(tone_of(at.worth), "! these values come from a backup that is not good: " + why);
    if (beside.last_good && beside.last_good->commit != at.commit) {
      line(Tone::strong, fmt::format("the last good one is {}: --at '{}'", backup_name(*beside.last_good),
                                     name_of(*beside.last_good)));
    }
  }
  for (const Backup& each : beside.passed_over) {
    line(Tone::plain, fmt::format("{}: {}, {}",
                                  each.withdrawn      ? "withdrawn, and not used"
                                  : each.kept.empty() ? "stored since, but of an earlier date"
                                                      : "merged since, and not seen on the machine yet",
                                  backup_name(each), worth_name(each.worth)));
  }
  if (!beside.trial.empty()) {
    line(Tone::strong,
         fmt::format("trial {} is in progress, and this is main: --at {} shows the trial's newest",
                     escape(beside.trial), escape(beside.trial)));
  }
  return text;
}

std::string dated(const std::string& heading) {
  const std::string zone = zone_names();
  return zone.empty() ? heading : fmt::format("{} ({})", heading, escape(zone));
}

std::string not_good_text(const Style& style, const Backup& backup) {
  std::string text;
  const auto add = [&](const std::string& said) {
    text += paint(style, Tone::doubtful, fmt::format("! {} {}", escape(name_of(backup)), said)) + "\n";
  };
  if (backup.withdrawn) add("is withdrawn: " + escape(backup.withdrawn->why));
  if (backup.worth == Worth::good) return text;
  const std::size_t more = backup.reasons.size() - std::min<std::size_t>(1, backup.reasons.size());
  add(fmt::format("is {}: {}{}", verdict_text(backup),
                  backup.reasons.empty() ? "" : escape(backup.reasons.front()),
                  more == 0 ? "" : fmt::format("  (and {} more)", more)));
  return text;
}

std::string typed_name(const Backup& backup) {
  const bool main = backup.trial.empty() && backup.number > 0;
  return main ? std::to_string(backup.number) : shell_quoted(name_of(backup));
}

std::string backup_name(const Backup& backup) {
  return fmt::format("{} ({})", name_of(backup), format_time(backup.at));
}

}  // namespace keepway::show
