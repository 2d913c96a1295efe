// What a backup's files say of units beside their programs: in headings, in a setting, or behind their
// values.
#include <algorithm>
#include <array>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

template <std::size_t size>
bool is_one_of(const std::array<std::string_view, size>& words, std::string_view word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

// In letters of one case; "мм" is as Cyrillic text has it.
std::optional<Units> units_named(std::string_view word) {
  constexpr std::array<std::string_view, 10> mm = {"mm",         "metric",      "millimeter", "millimeters",
                                                   "millimetre", "millimetres", "metrisch",   "metrico",
                                                   "micron",     "microns"};
  constexpr std::array<std::string_view, 5> inch = {"inch", "inches", "zoll", "pouce", "pollici"};
  if (is_one_of(mm, word) || word == "мм" || word == "ММ") return Units::mm;
  if (is_one_of(inch, word)) return Units::inch;
  return std::nullopt;
}

// The name of a setting that says the units.
bool names_units(std::string_view word) {
  constexpr std::array<std::string_view, 17> words = {
      "unit",  "units",   "einheit",  "einheiten",   "unite",  "unites",
      "unita", "unidad",  "unidades", "unidade",     "birim",  "jednostka",
      "enhet", "eenheid", "jednotky", "masseinheit", "measure"};
  return is_one_of(words, word);
}

struct Told {
  std::size_t inch = 0;
  std::size_t mm = 0;
  void take(Units units) { ++(units == Units::inch ? inch : mm); }
  [[nodiscard]] std::optional<Units> units() const {
    if ((inch == 0) == (mm == 0)) return std::nullopt;  // none, or both
    return inch > 0 ? Units::inch : Units::mm;
  }
};

// One line's words. A unit of feeds, "mm/min", is none of lengths.
struct LineSays {
  std::optional<Units> any;      // the last that is named
  std::optional<Units> free;     // and is not right behind a number: "6 INCH CHUCK" is a thing
  std::optional<Units> setting;  // behind a name that says units
  std::optional<Units> cell;     // by itself between two signs that part columns
};
// "| mm |", ";mm;", and no "8 mm".
bool is_cell(std::string_view text, std::size_t begin, std::size_t end) {
  constexpr std::string_view signs = "|;\t,\"";
  const std::size_t before = begin == 0 ? begin : text.find_last_not_of(' ', begin - 1);
  const std::size_t behind = text.find_first_not_of(' ', end);
  return begin > 0 && before != std::string_view::npos &&
         signs.find(text[before]) != std::string_view::npos &&
         (behind == std::string_view::npos || signs.find(text[behind]) != std::string_view::npos);
}

bool is_behind_number(std::string_view text, std::size_t at) {
  const std::string_view gap = text.substr(0, at);
  if (gap.ends_with("  ") || gap.ends_with('\t')) return false;  // another cell of the heading
  const std::string_view before = reader::trim(gap);
  return !before.empty() && (is_digit(before.back()) || (before.back() == '-' && before.size() > 1 &&
                                                         is_digit(before[before.size() - 2])));
}

LineSays read_line(std::string_view text) {
  LineSays says;
  bool named = false;
  for (std::size_t at = 0; at < text.size();) {
    if (!is_alpha(text[at])) {
      ++at;
      continue;
    }
    const std::size_t begin = at;
    while (at < text.size() && is_alpha(text[at])) ++at;
    const std::string word = lower(text.substr(begin, at - begin));
    const auto units = at < text.size() && text[at] == '/' ? std::nullopt : units_named(word);
    if (units) says.any = units;
    if (units && !is_behind_number(text, begin)) says.free = units;
    if (units && named) says.setting = units;
    if (units && is_cell(text, begin, at)) says.cell = units;
    named = names_units(word) || (named && units);
  }
  return says;
}

}  // namespace

std::optional<Units> told_units(const std::vector<OriginalView>& texts, const std::string& encoding) {
  const Encoding decoder(encoding);
  Told settings;
  Told headings;
  Told values;
  Told cells;
  for (const OriginalView& text : texts) {
    const Sample sample = look_at(text.name, text.bytes);
    const std::vector<bool> rows = rows_of(sample);
    Told here;
    std::size_t count = 0;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const LineSays says = read_line(decoder.to_utf8(sample.lines[i].text));
      if (says.setting) settings.take(*says.setting);
      if (rows[i]) ++count;
      if (rows[i] && says.cell) cells.take(*says.cell);
      if (rows[i] && says.any) here.take(*says.any);
      if (!rows[i] && says.free) headings.take(*says.free);
    }
    // A drill of 8 mm is in an inch machine, too: a unit of values is in many rows.
    if (here.units() && (here.inch + here.mm) * 4 > count) values.take(*here.units());
  }
  for (const Told* each : {&settings, &headings, &cells, &values}) {
    if (const auto units = each->units()) return units;
  }
  return std::nullopt;
}

}  // namespace keepway::layout
