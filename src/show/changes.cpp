#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

void add_value(Grid& grid, const ValueChange& change, const ValueMeaning& meaning) {
  const std::string before = change.before ? meaning.before : "(none)";
  const std::string after = change.after ? meaning.after : "(gone)";
  grid.row({escape(meaning.address), escape(meaning.name), before, "->", after, delta_text(meaning)});
  for (const BitChange& bit : meaning.bits) {
    grid.note(Tone::plain, fmt::format("bit {}{}: {} -> {}", bit.bit,
                                       bit.name.empty() ? "" : fmt::format(" ({})", escape(bit.name)),
                                       bit.before ? 1 : 0, bit.after ? 1 : 0));
  }
  for (const std::string& warning : meaning.warnings) grid.note(Tone::doubtful, "! " + warning);
  if (!change.note.empty()) grid.note(Tone::doubtful, "! " + escape(change.note));
}

// Behind what changed in the blocks themselves.
std::string renumbered(const ProgramChange& change) {
  if (change.renumbered == 0) return "";
  return fmt::format("; beside that, {} {}", count_of(change.renumbered, "block has", "blocks have"),
                     change.renumbered == 1 ? "another number" : "other numbers");
}

std::string heading(const ProgramChange& change) {
  const std::string name = escape(change.name);
  switch (change.kind) {
    case ProgramChangeKind::added:
      return name + " added";
    case ProgramChangeKind::removed:
      return name + " removed";
    case ProgramChangeKind::comments:
      return name + " comments changed, no motion" + renumbered(change);
    case ProgramChangeKind::renumbered:
      return name + " block numbers changed, nothing else";
    case ProgramChangeKind::renamed:
      return fmt::format("{} is {} under another name", name, escape(change.before_name));
    case ProgramChangeKind::changed:
      break;
  }
  return fmt::format("{} changed in {}", name, count_of(change.blocks.size(), "place", "places")) +
         renumbered(change);
}

std::string program_text(const Context& context, const ProgramChange& change) {
  std::string out = "  " + paint(context.style, Tone::strong, heading(change)) + "\n";
  if (change.kind == ProgramChangeKind::added || change.kind == ProgramChangeKind::removed) return out;
  for (const BlockChange& block : change.blocks) {
    out += fmt::format("    block {}\n", block.after.empty() ? block.before_line : block.after_line);
    for (const std::string& each : block.before) {
      out += "      " + paint(context.style, Tone::bad, "- ") + escape(each) + "\n";
    }
    for (const std::string& each : block.after) {
      out += "      " + paint(context.style, Tone::good, "+ ") + escape(each) + "\n";
    }
    for (const std::string& each : block.meaning) out += fmt::format("        = {}\n", escape(each));
  }
  return out;
}

std::string_view without_end(std::string_view line) {
  while (!line.empty() && (line.back() == '\n' || line.back() == '\r')) line.remove_suffix(1);
  return line;
}

std::string listed(const Context& context, const SpelledFile& file) {
  std::string out = fmt::format("  {}\n", paint(context.style, Tone::strong, gist(file)));
  for (const SpelledLine& line : file.lines) {
    const bool ends_alone = without_end(line.before) == without_end(line.after);
    const auto shown = [&](std::string_view text) { return escape(ends_alone ? text : without_end(text)); };
    out += fmt::format("    line {}\n", line.after_line > 0 ? line.after_line : line.before_line);
    if (line.before_line > 0)
      out += "      " + paint(context.style, Tone::bad, "- ") + shown(line.before) + "\n";
    if (line.after_line > 0)
      out += "      " + paint(context.style, Tone::good, "+ ") + shown(line.after) + "\n";
  }
  for (const OverruledChange& change : file.overruled) {
    if (file.count > 0 || file.overruled.size() > 1)
      out += fmt::format("    {}\n", gist(escape(file.name), change));
  }
  if (file.overruled_count > file.overruled.size())
    out += fmt::format("    and {} more values that do not count\n",
                       file.overruled_count - file.overruled.size());
  if (file.count > file.lines.size())
    out += fmt::format("    and {} more lines\n", file.count - file.lines.size());
  return out;
}

// The files of which something was read, or the others.
std::string listed(const Context& context, const char* title, const std::vector<SpelledFile>& files,
                   bool read) {
  std::string out;
  for (const SpelledFile& file : files) {
    if ((file.read == SpelledFile::Read::yes) == read) out += listed(context, file);
  }
  return out.empty() ? out : fmt::format("\n{}\n{}", paint(context.style, Tone::strong, title), out);
}

// Below the values: what is only spelled otherwise, and what changed and is not read.
std::string spelling_text(const Context& context, const Backup& from, const Backup& to, bool values_same,
                          const Spelling& spelling) {
  if (from.digest == to.digest) return values_same ? "\nNo change.\n" : "";
  std::string out;
  if (values_same) {
    std::string text =
        from.kept.empty() && to.kept.empty() ? gist(spelling.files) : "the values are the same";
    if (text.starts_with("the ")) text.front() = 'T';
    if (text.starts_with("what ")) text.front() = 'W';
    out += fmt::format("\n{}.\n", text);
  } else if (!spelling.files.empty() && !spelling.list) {
    std::string text = gist_beside(spelling.files);
    text.front() = 'B';
    out += fmt::format("\n{}.\n", text);
  }
  if (spelling.files.empty()) return out;
  if (!spelling.list) return out + "See them with --spelling.\n";
  return out + listed(context, "spelled otherwise", spelling.files, true) +
         listed(context, "changed, and not read", spelling.files, false);
}

// Line by line, in the order of groups.
std::string list_text(const Context& context, const Changes& changes) {
  std::string text;
  for (const Group group : all_groups) {
    Grid grid;
    std::size_t count = 0;
    for (const ValueChange& change : changes.values) {
      if (change.group != group) continue;
      add_value(grid, change, meaning_of(context, change));
      ++count;
    }
    if (count == 0) continue;
    text += fmt::format("\n{}  {}\n{}", paint(context.style, Tone::strong, group_name(group)),
                        count_of(count, "value", "values"), grid.text(context.style));
  }
  if (!changes.programs.empty()) {
    text +=
        fmt::format("\n{}  {}\n", paint(context.style, Tone::strong, "programs"), changes.programs.size());
  }
  for (const ProgramChange& change : changes.programs) text += program_text(context, change);
  return text;
}

void add_list(Json& json, const Context& context, const Changes& changes) {
  json["values"] = Json::array();
  json["programs"] = Json::array();
  if (!context.style.json) return;
  for (const Group group : all_groups) {
    for (const ValueChange& change : changes.values) {
      if (change.group != group) continue;
      json["values"].push_back(to_json(context, change));
    }
  }
  for (const ProgramChange& change : changes.programs) json["programs"].push_back(to_json(change));
}

Json overruled_json(const OverruledChange& change) {
  return {{"address", escape(change.address.text())}, {"before_line", change.before_line},
          {"after_line", change.after_line},          {"before", optional_text(change.before)},
          {"after", optional_text(change.after)},     {"in_force", escape(change.in_force)},
          {"by_file", escape(change.by_file)},        {"by_line", change.by_line}};
}

Json spelled_json(const SpelledFile& file) {
  Json json = {{"file", escape(file.name)}, {"count", file.count}, {"came", file.came}, {"gone", file.gone}};
  json["read"] = file.read == SpelledFile::Read::yes;
  json["what"] = gist(file);
  json["lines"] = Json::array();
  for (const SpelledLine& line : file.lines) {
    json["lines"].push_back({{"before_line", line.before_line},
                             {"after_line", line.after_line},
                             {"before", escape(line.before)},
                             {"after", escape(line.after)}});
  }
  json["overruled_count"] = file.overruled_count;
  json["overruled"] = Json::array();
  for (const OverruledChange& change : file.overruled) json["overruled"].push_back(overruled_json(change));
  return json;
}

Json changes_json(const Context& context, const Backup& from, const Backup& to, const Changes& changes,
                  bool alike, const Spelling& spelling) {
  Json json = start("changes", &context);
  json["from"] = to_json(from);
  json["to"] = to_json(to);
  json["read_alike"] = alike;
  json["same_bytes"] = from.digest == to.digest;
  json["spelling"] = Json::array();
  for (const SpelledFile& file : spelling.files) json["spelling"].push_back(spelled_json(file));
  add_list(json, context, changes);
  return json;
}

}  // namespace

Answer changes(const Context& context, const Backup& from, const Backup& to, const Changes& changes,
               bool alike, const Spelling& spelling) {
  return {
      fmt::format("{}  from {} to {}\n{}{}{}{}{}", paint(context.style, Tone::strong, context.machine.name),
                  backup_name(from), backup_name(to), not_good_text(context.style, from),
                  not_good_text(context.style, to), alike ? "" : read_otherwise_text(context.style),
                  list_text(context, changes), spelling_text(context, from, to, changes.empty(), spelling)),
      finish(changes_json(context, from, to, changes, alike, spelling))};
}

Answer changes_found(const Context& context, const Inspection& inspection) {
  Json json = start("inspect", &context);
  if (!inspection.last) return {"This is the machine's first backup.\n", finish(json)};
  const std::string since = backup_name(*inspection.last);
  add_list(json, context, inspection.changes);
  return {(inspection.repeat ? fmt::format("The same files, byte for byte, as {}.\n", since)
                             : fmt::format("Since {}: {}.\n", since, inspection.gist)) +
              list_text(context, inspection.changes),
          finish(json)};
}

}  // namespace keepway::show
