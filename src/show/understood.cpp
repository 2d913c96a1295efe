// One screen: what a layout makes of a backup, what it does not understand, and what was guessed.
#include "show/understood.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

constexpr std::size_t most_files = 4;
constexpr std::size_t most_listed = 8;  // of a list on the screen

std::string files_text(const std::vector<std::string>& files) {
  std::string out;
  for (std::size_t i = 0; i < std::min(most_files, files.size()); ++i)
    out += (i > 0 ? ", " : "") + escape(files[i]);
  if (files.size() > most_files) out += fmt::format(" and {} more", files.size() - most_files);
  return out;
}

std::string sources_text(const Understood& made, const Style& style) {
  std::string out;
  for (const Understood::Source& source : made.sources) {
    const bool programs = source.group == Group::programs;
    const std::string count =
        programs ? count_of(source.items, "program", "programs") : count_of(source.items, "value", "values");
    out += fmt::format("{}  {} from {}\n", paint(style, Tone::strong, group_name(source.group)), count,
                       files_text(source.files));
    Grid grid;
    for (const Understood::Row& row : source.rows) grid.row({escape(row.address), escape(row.value)});
    out += grid.text(style);
  }
  return out;
}

std::string unread_text(const Understood& made, const Style& style) {
  std::string out;
  for (std::size_t i = 0; i < std::min(most_listed, made.unread.size()); ++i) {
    const Understood::Unread& each = made.unread[i];
    const std::string times = each.times == 1 ? "once" : fmt::format("{} times", with_commas(each.times));
    out += fmt::format("  {} {}\n    first {}: {}\n", paint(style, Tone::doubtful, "!"),
                       wrap(fmt::format("not understood {}: {}", times, each.why), line_width, 4),
                       escape(each.first.text()), each.text);
  }
  if (made.unread.size() > most_listed)
    out += fmt::format("  and {} more causes: --json has all of them\n", made.unread.size() - most_listed);
  if (!made.unclaimed.empty()) {
    out += fmt::format("  {} no source takes {}\n", paint(style, Tone::doubtful, "!"),
                       files_text(made.unclaimed));
  }
  if (made.twice > 0) {
    out += fmt::format("  {} {} {} in one file, not the same each time; the last counts:\n",
                       paint(style, Tone::doubtful, "!"), count_of(made.twice, "value is", "values are"),
                       "given again");
  }
  for (const Understood::Twice& each : made.twice_first)
    out += fmt::format("    {} is {} ({}:{}), and {} in line {}\n", escape(each.address), escape(each.taken),
                       escape(each.place.file), each.place.line.value_or(0), escape(each.passed),
                       each.passed_at.line.value_or(0));
  for (const std::string& each : made.oddities)
    out += fmt::format("  {} {}\n", paint(style, Tone::bad, "!"), wrap(each, line_width, 4));
  return out;
}

// Lines that gave no value: a person sees at once whether one of them has one.
std::string passed_text(const Understood& made) {
  if (made.passed == 0) return {};
  std::string out = fmt::format("\nNot taken as values: {}{}\n", count_of(made.passed, "line", "lines"),
                                made.passed > made.passed_first.size() ? ", such as" : "");
  for (const Understood::Passed& each : made.passed_first)
    out += fmt::format("  {}:{}  {}\n", escape(each.place.file), each.place.line.value_or(0), each.text);
  return out;
}

Json understood_json(const Understood& made) {
  Json json;
  json["sources"] = Json::array();
  for (const Understood::Source& source : made.sources) {
    Json rows = Json::array();
    for (const Understood::Row& row : source.rows)
      rows.push_back(
          {{"address", escape(row.address)}, {"value", escape(row.value)}, {"written", escape(row.written)}});
    Json files = Json::array();
    for (const std::string& file : source.files) files.push_back(escape(file));
    json["sources"].push_back({{"source", source.index + 1},
                               {"group", group_name(source.group)},
                               {"items", source.items},
                               {"files", std::move(files)},
                               {"rows", std::move(rows)}});
  }
  json["unread"] = Json::array();
  for (const Understood::Unread& each : made.unread)
    json["unread"].push_back(
        {{"why", each.why}, {"times", each.times}, {"first", to_json(each.first)}, {"text", each.text}});
  json["unclaimed"] = Json::array();
  for (const std::string& file : made.unclaimed) json["unclaimed"].push_back(escape(file));
  json["other_serial"] = made.oddities;
  json["twice"] = made.twice;
  json["twice_first"] = Json::array();
  for (const Understood::Twice& each : made.twice_first)
    json["twice_first"].push_back({{"address", escape(each.address)},
                                   {"taken", escape(each.taken)},
                                   {"place", to_json(each.place)},
                                   {"passed", escape(each.passed)},
                                   {"passed_at", to_json(each.passed_at)}});
  json["passed"] = made.passed;
  json["passed_first"] = Json::array();
  for (const Understood::Passed& each : made.passed_first)
    json["passed_first"].push_back({{"place", to_json(each.place)}, {"text", each.text}});
  return json;
}

// What was guessed, a line each; the same guess of several files once.
std::vector<Guess> guesses_of(const Survey& survey) {
  std::vector<Guess> out;
  for (const SurveyedFile& file : survey.files) {
    for (const Guess& guess : file.guesses) {
      const bool known = std::any_of(out.begin(), out.end(), [&](const Guess& each) {
        return each.what == guess.what && each.line == guess.line;
      });
      if (!known) out.push_back(guess);
    }
  }
  return out;
}

}  // namespace

std::string guess_text(const Guess& guess) {
  if (guess.line == 0) return escape(guess.what);
  return fmt::format("{} (line {} of the layout, {})", escape(guess.what), guess.line, guess.key);
}

bool all_understood(const Understood& made) {
  return made.unread.empty() && made.unclaimed.empty() && made.oddities.empty() && made.twice == 0;
}

Answer tried_layout(const std::string& file, const Understood& made, Style style) {
  Json json = start("try", nullptr);
  json["layout"] = escape(file);
  json["understood"] = understood_json(made);
  std::string text = sources_text(made, style);
  if (made.sources.empty()) text += "Nothing was read: no source of the layout takes these files.\n";
  const std::string odd = unread_text(made, style);
  text += odd.empty() ? "Nothing is left unread.\n" : "\n" + odd;
  text += passed_text(made);
  return {std::move(text), finish(json)};
}

Answer tried_again(const std::string& file, const Understood& made, const TryChanges& changes, Style style) {
  Answer answer = tried_layout(file, made, style);
  Json json = Json::parse(answer.json);
  json["changed"] = Json::array();
  std::size_t came = 0;
  std::size_t gone = 0;
  Grid grid;
  for (const TryChanges::Item& item : changes.items) {
    const auto shown = [](const std::optional<std::string>& value) { return value ? escape(*value) : "-"; };
    came += item.before ? 0U : 1U;
    gone += item.after ? 0U : 1U;
    json["changed"].push_back({{"address", escape(item.address)},
                               {"before", item.before ? Json(escape(*item.before)) : Json(nullptr)},
                               {"after", item.after ? Json(escape(*item.after)) : Json(nullptr)}});
    if (json["changed"].size() <= most_listed)
      grid.row({escape(item.address), shown(item.before) + " -> " + shown(item.after)});
  }
  json["unread_before"] = changes.unread_before;
  json["unread_after"] = changes.unread_after;
  std::string text;
  if (changes.items.empty() && changes.unread_before == changes.unread_after) {
    text = "This save changes nothing of what is read.\n";
  } else {
    text =
        fmt::format("This save: {} came, {} went, {} read otherwise; rows not understood: {} -> {}\n", came,
                    gone, changes.items.size() - came - gone, changes.unread_before, changes.unread_after);
    text += grid.text(style);
    if (changes.items.size() > most_listed)
      text += fmt::format("  and {} more\n", with_commas(changes.items.size() - most_listed));
  }
  return {std::move(answer.text) + "\n" + text, finish(json)};
}

namespace {

// What was guessed of several files in the same way is one line.
std::vector<std::string> guess_texts(const std::vector<Guess>& guesses) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < guesses.size(); ++i) {
    const auto same = [&](const Guess& each) {
      return each.what == guesses[i].what && each.key == guesses[i].key && each.line != 0;
    };
    if (std::any_of(guesses.begin(), guesses.begin() + static_cast<std::ptrdiff_t>(i), same)) continue;
    std::vector<std::size_t> lines;
    for (const Guess& each : guesses) {
      if (same(each)) lines.push_back(each.line);
    }
    out.push_back(lines.size() < 2 ? guess_text(guesses[i])
                                   : fmt::format("{} (lines {} of the layout, {})", escape(guesses[i].what),
                                                 fmt::join(lines, ", "), guesses[i].key));
  }
  return out;
}

// By what another machine's files are not known; empty where they are.
std::string serial_unknown_text(const MachineFacts& facts, const Survey& survey) {
  if (survey.layout.find("{serial}") != std::string::npos) return "";
  if (facts.serial.empty())
    return "the serial: the files name none, so nothing in them tells two machines apart";
  return fmt::format("the serial, {}: the files do not carry it, so nothing in them tells two machines apart",
                     escape(facts.serial));
}

// What was guessed, each with what to change where it is wrong.
std::string guessed_text(const MachineFacts& facts, const Survey& survey) {
  std::string out;
  const auto line = [&](const std::string& text) {
    out += fmt::format("  ? {}\n", wrap(text, line_width, 4));
  };
  if (!survey.serial_from.empty())
    line(fmt::format("the serial, {}: from {} (machine.toml, serial)", escape(facts.serial),
                     escape(survey.serial_from)));
  else if (const std::string unknown = serial_unknown_text(facts, survey); !unknown.empty())
    line(unknown);
  if (!survey.units)
    line(fmt::format("the units, {}: nothing in the files says them (machine.toml, units)",
                     units_name(facts.units)));
  const std::vector<std::string> guesses = guess_texts(guesses_of(survey));
  for (std::size_t i = 0; i < std::min(most_listed, guesses.size()); ++i) line(guesses[i]);
  if (guesses.size() > most_listed)
    out += fmt::format("  and {} more: --json has all of them\n", guesses.size() - most_listed);
  return out;
}

std::string screen_text(const MachineFacts& facts, const Survey& survey, const Understood& made,
                        const Style& style) {
  std::string text = sources_text(made, style);
  if (const std::string odd = unread_text(made, style); !odd.empty()) text += "\nNot understood\n" + odd;
  text += passed_text(made);
  if (const std::string guessed = guessed_text(facts, survey); !guessed.empty())
    text += "\nGuessed: look at these\n" + guessed;
  return text;
}

void add_screen(Json& json, const MachineFacts& facts, const Survey& survey, const Understood& made) {
  json["units"] = std::string(units_name(facts.units));
  json["serial"] = escape(facts.serial);
  json["other_serial"] = escape(survey.other_serial);
  json["understood"] = understood_json(made);
  json["guessed"] = Json::array();
  for (const Guess& guess : guesses_of(survey))
    json["guessed"].push_back({{"what", escape(guess.what)}, {"key", guess.key}, {"line", guess.line}});
  json["left_out"] = Json::array();
  for (const std::string& name : survey.left_out) json["left_out"].push_back(escape(name));
}

}  // namespace

Answer proposed(const MachineFacts& facts, const Survey& survey, const Understood& made, Style style) {
  Json json = start("enroll", nullptr);
  json["machine"] = nullptr;
  add_screen(json, facts, survey, made);
  json["serial_from"] = escape(survey.serial_from);
  json["serial_unknown"] = serial_unknown_text(facts, survey);
  json["units_found"] = survey.units.has_value();
  json["layout"] = survey.layout;
  json["editable"] = Json::array();
  for (const EditableSource& source : editable_sources(survey)) {
    json["editable"].push_back({{"group", source.group},
                                {"name", escape(source.name)},
                                {"left_out", source.left_out},
                                {"files", Json::array()}});
  }
  for (const SurveyedFile& file : survey.files)
    json["editable"].at(file.source)["files"].push_back(escape(file.name));
  return {screen_text(facts, survey, made, style), finish(json)};
}

Answer enrolled_from(const MachineFacts& facts, const std::string& folder, const std::string& from,
                     std::size_t slot, const Survey& survey, const Understood& made, Style style) {
  Json json = start("enroll", nullptr);
  json["machine"] = facts.name;
  json["folder"] = folder;
  json["from"] = escape(from);
  if (slot > 0) json["slot"] = slot;
  add_screen(json, facts, survey, made);
  const std::string path = shell_quoted(from) + (slot > 0 ? fmt::format(" --slot {}", slot) : "");
  std::string text = screen_text(facts, survey, made, style);
  text += fmt::format(
      "\nEnrolled {}{}, units {}. The layout is {}/layout.toml: yours to edit.\n"
      "Nothing of the backup is stored yet.\n",
      facts.name, facts.serial.empty() ? "" : ", serial " + escape(facts.serial), units_name(facts.units),
      folder);
  const bool all = all_understood(made);
  if (!survey.other_serial.empty()) {
    text += fmt::format(
        "The files name the serial {}: if they are this machine's, correct serial in {}/machine.toml, or "
        "each "
        "such backup is refused.\n",
        escape(survey.other_serial), folder);
  }
  if (!all) {
    text += fmt::format(
        "Next: correct the layout, and see what it reads then:\n  keepway try {}/layout.toml {}\n", folder,
        path);
  }
  text += fmt::format("{}: keepway intake {} {}\n", all ? "Next" : "Then", facts.name, path);
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
