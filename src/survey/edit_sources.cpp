// What a person corrects of a proposed layout, written into it as a hand would.
#include <fmt/format.h>

#include <algorithm>

#include "keepway/survey.hpp"
#include "survey/source_lines.hpp"
#include "survey/survey_parts.hpp"

namespace keepway {
namespace {

using layout::KeyLine;
using layout::SourceSpan;

// The parts of a line `key = "value"   # why`.
struct Line {
  std::string indent;
  std::string key;
  std::string value;  // without its quotes; empty where it has none
  std::string why;
};

Line parts_of(std::string_view text) {
  Line line;
  const std::size_t begin = std::min(text.find_first_not_of(' '), text.size());
  line.indent = text.substr(0, begin);
  line.key = text.substr(begin, text.find(' ', begin) - begin);
  std::size_t at = text.find('"');
  while (at < text.size() && ++at < text.size() && text[at] != '"') {
    if (text[at] == '\\' && at + 1 < text.size()) ++at;
    line.value += text[at];
  }
  const std::size_t remark = text.find("# ", std::min(at, text.size()));
  if (remark != std::string_view::npos) line.why = text.substr(remark + 2, text.find('\n') - remark - 2);
  return line;
}

std::string text_of(const Line& line) {
  return line.indent + layout::key_line(line.key, layout::toml_quoted(line.value), line.why);
}

std::string_view in(std::string_view text, const KeyLine& line) {
  return text.substr(line.begin, line.end - line.begin);
}

// The first part of an address, where it is a name: "tool" of tool/{number}.
std::string name_in(const std::string& address) {
  const std::string first = address.substr(0, address.find('/'));
  return first.size() == address.size() || first.find('{') != std::string::npos ? "" : first;
}

// What is in front of all addresses of a source.
std::string name_in_front(std::string_view text, const SourceSpan& source) {
  std::string name;
  bool is_first = true;
  for (const KeyLine& line : layout::lines_with_key(text, source, "address")) {
    const std::string here = name_in(parts_of(in(text, line)).value);
    if (!is_first && here != name) return "";
    name = here;
    is_first = false;
  }
  return name;
}

void set_value(std::string& text, const KeyLine& at, const std::string& value) {
  Line line = parts_of(in(text, at));
  line.value = value;
  text.replace(at.begin, at.end - at.begin, text_of(line));
}

void set_group(std::string& text, const SourceSpan& source, const std::string& group) {
  const auto lines = layout::lines_with_key(text, source, "group");
  if (!lines.empty()) set_value(text, lines.front(), group);
}

// The address of rows where the layout says none: see LAYOUT.md, `address`.
std::string usual_address(std::string_view text, const SourceSpan& source) {
  const std::string_view whole = text.substr(source.begin, source.end - source.begin);
  const auto readers = layout::lines_with_key(text, source, "reader");
  if (!readers.empty() && parts_of(in(text, readers.front())).value == "sections") return "{part}/{key}";
  return whole.find("{letter}{key}") != std::string_view::npos ? "{letter}{key}" : "{key}";
}

void set_name(std::string& text, const SourceSpan& source, const std::string& name) {
  const std::string before = name_in_front(text, source);
  const std::string front = name.empty() ? "" : name + "/";
  auto lines = layout::lines_with_key(text, source, "address");
  if (lines.empty() && !name.empty()) {
    const auto readers = layout::lines_with_key(text, source, "reader");
    if (readers.empty()) return;
    text.insert(readers.front().end,
                text_of({"", "address", front + usual_address(text, source), "what is in front was given"}));
  }
  std::reverse(lines.begin(), lines.end());  // so that the places of those above stay
  for (const KeyLine& at : lines) {
    const std::string value = parts_of(in(text, at)).value;
    set_value(text, at, front + value.substr(before.empty() ? 0 : before.size() + 1));
  }
}

bool is_left_out(std::string_view text, const SourceSpan& source) {
  const auto lines = layout::lines_with_key(text, source, "data");
  return !lines.empty() && in(text, lines.front()).find("= false") != std::string_view::npos;
}

void leave_out(std::string& text, const SourceSpan& source) {
  const auto readers = layout::lines_with_key(text, source, "reader");
  if (readers.empty()) return;
  text.insert(readers.front().end, layout::key_line("data", "false", "no line of it is data, as was given"));
}

void read_after_all(std::string& text, const SourceSpan& source) {
  const auto lines = layout::lines_with_key(text, source, "data");
  for (auto line = lines.rbegin(); line != lines.rend(); ++line)
    text.erase(line->begin, line->end - line->begin);
}

// What is corrected is a guess no longer, and the layout does not call it one.
void forget_guess(Survey& survey, std::size_t source, std::string_view key) {
  for (SurveyedFile& file : survey.files) {
    if (file.source != source) continue;
    for (const Guess& guess : file.guesses) {
      if (guess.key != key) continue;
      const std::string remark = "# Guessed: " + escape(guess.what) + ".\n";
      const std::size_t begin = layout::sources_of(survey.layout).at(source).begin;
      const std::size_t at = survey.layout.rfind(remark, begin);
      const std::size_t above = source == 0 ? 0 : layout::sources_of(survey.layout).at(source - 1).begin;
      if (at != std::string::npos && at > above) survey.layout.erase(at, remark.size());
    }
    std::erase_if(file.guesses, [&](const Guess& guess) { return guess.key == key; });
  }
}

// Lines may have come and gone.
void number_guesses(Survey& survey) {
  const std::vector<SourceSpan> sources = layout::sources_of(survey.layout);
  for (SurveyedFile& file : survey.files) {
    for (Guess& guess : file.guesses)
      guess.line = layout::line_of_key(survey.layout, sources.at(file.source), guess.key);
  }
}

}  // namespace

std::vector<EditableSource> editable_sources(const Survey& survey) {
  std::vector<EditableSource> all;
  const std::string& text = survey.layout;
  for (const SourceSpan& source : layout::sources_of(text)) {
    const auto groups = layout::lines_with_key(text, source, "group");
    all.push_back({groups.empty() ? "" : parts_of(in(text, groups.front())).value,
                   name_in_front(text, source), is_left_out(text, source)});
  }
  return all;
}

void edit_sources(Survey& survey, const std::vector<SourceEdit>& edits) {
  for (const SourceEdit& each : edits) {
    const auto now = editable_sources(survey);
    if (each.source >= now.size()) {
      throw Error(ErrorKind::usage,
                  fmt::format("the layout that is proposed has no source {}", each.source + 1),
                  "look at it again");
    }
    const auto source = [&] { return layout::sources_of(survey.layout).at(each.source); };
    if (each.group && *each.group != now[each.source].group) {
      set_group(survey.layout, source(), *each.group);
      forget_guess(survey, each.source, "group");
    }
    if (each.name && *each.name != now[each.source].name) {
      set_name(survey.layout, source(), *each.name);
      forget_guess(survey, each.source, "address");
    }
    if (!each.left_out || *each.left_out == now[each.source].left_out) continue;
    if (!*each.left_out) {
      read_after_all(survey.layout, source());
      forget_guess(survey, each.source, "data");
      continue;
    }
    leave_out(survey.layout, source());
    for (SurveyedFile& file : survey.files) {
      if (file.source == each.source) file.guesses.clear();
    }
  }
  if (edits.empty()) return;
  number_guesses(survey);
  const Layout whole = parse_layout(survey.layout, "the corrected layout");
  for (SurveyedFile& file : survey.files) file.group = whole.sources.at(file.source).group;
}

void edit_units(Survey& survey, Units units) {
  if (survey.units == units) return;
  std::string& text = survey.layout;
  const SourceSpan top{0, std::min(text.find("[[source]]"), text.size())};
  for (const char* key : {"units", "# units"}) {
    const auto lines = layout::lines_with_key(text, top, key);
    if (lines.empty()) continue;
    text.replace(lines.front().begin, lines.front().end - lines.front().begin,
                 layout::key_line("units", layout::toml_quoted(units_name(units)), "as was given"));
    return;
  }
}

}  // namespace keepway
