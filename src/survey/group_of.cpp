// Which group the rows of a sample are of: by its name, by what is written above them, by their keys.
#include <algorithm>
#include <array>
#include <map>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

constexpr auto group_words = std::to_array<std::pair<std::string_view, Group>>({
    {"instel", Group::settings},        {"impost", Group::settings},    {"ustaw", Group::settings},
    {"nastaven", Group::settings},      {"nastroik", Group::settings},  {"ajuste", Group::settings},
    {"usura", Group::offsets},          {"verkt", Group::offsets},      {"gereed", Group::offsets},
    {"vaerkt", Group::offsets},         {"nulp", Group::offsets},       {"nulev", Group::offsets},
    {"nollp", Group::offsets},          {"usure", Group::offsets},      {"versch", Group::offsets},
    {"opotreb", Group::offsets},        {"rpar", Group::variables},     {"nastroj", Group::offsets},
    {"narz", Group::offsets},           {"herram", Group::offsets},     {"ferram", Group::offsets},
    {"prog", Group::programs},          {"prg", Group::programs},       {"tool", Group::offsets},
    {"offs", Group::offsets},           {"ofs", Group::offsets},        {"work", Group::offsets},
    {"geom", Group::offsets},           {"wear", Group::offsets},       {"turret", Group::offsets},
    {"revolver", Group::offsets},       {"set", Group::settings},       {"conf", Group::settings},
    {"werkz", Group::offsets},          {"nullp", Group::offsets},      {"zero", Group::offsets},
    {"ceros", Group::offsets},          {"korr", Group::offsets},       {"korek", Group::offsets},
    {"instrument", Group::offsets},     {"outil", Group::offsets},      {"promenn", Group::variables},
    {"zmienn", Group::variables},       {"peremenn", Group::variables}, {"var", Group::variables},
    {"cell", Group::variables},         {"einstell", Group::settings},  {"panel", Group::settings},
    {"switch", Group::settings},        {"job", Group::programs},       {"wkz", Group::offsets},
    {"utens", Group::offsets},          {"correct", Group::offsets},    {"corret", Group::offsets},
    {"decal", Group::offsets},          {"origin", Group::offsets},     {"origen", Group::offsets},
    {"rechen", Group::variables},       {"macro", Group::variables},    {"makro", Group::variables},
    {"regist", Group::variables},       {"option", Group::settings},    {"opcion", Group::settings},
    {"opzion", Group::settings},        {"schalter", Group::settings},  {"reglag", Group::settings},
    {"maschinend", Group::parameters},  {"maskind", Group::parameters}, {"machdat", Group::parameters},
    {"machine dat", Group::parameters}, {"param", Group::parameters},   {"par", Group::parameters},
    {"axes", Group::parameters},        {"axis", Group::parameters},    {"achs", Group::parameters},
    {"const", Group::parameters},       {"konst", Group::parameters},   {"servo", Group::parameters},
    {"opt", Group::settings},           {"limits", Group::parameters},  {"tyokal", Group::offsets},
    {"tyoekal", Group::offsets},        {"nollap", Group::offsets},     {"asetuk", Group::settings},
    {"muuttuj", Group::variables},      {"installn", Group::settings},  {"instaelln", Group::settings},
    {"szersz", Group::offsets},         {"beallit", Group::settings},   {"valtoz", Group::variables},
    {"alatke", Group::offsets},         {"orodj", Group::offsets},      {"indstil", Group::settings},
    {"innstill", Group::settings},      {"zerow", Group::offsets},      {"nuly", Group::offsets},
    {"impostaz", Group::settings},      {"fixture", Group::offsets},    {"cutter comp", Group::offsets},
    {"datum shift", Group::offsets},    {"datums", Group::offsets},
});

// A short word begins or ends one of the text's: "AXPAR", "MVARS", and not the Swedish "SVARV".
bool says(std::string_view text, std::string_view part) {
  constexpr std::size_t short_word = 3;
  for (std::size_t at = text.find(part); at != std::string_view::npos; at = text.find(part, at + 1)) {
    std::size_t end = at + part.size();
    if (end < text.size() && text[end] == 's') ++end;
    const bool begins = at == 0 || !is_letter(text[at - 1]);
    const bool ends = end == text.size() || !is_letter(text[end]);
    if (part.size() > short_word || begins || ends) return true;
  }
  return false;
}

// What the first letters of most keys say: G54, T1.length, R12, #100.
std::optional<Group> group_in_keys(const Sample& sample) {
  std::map<Group, std::size_t> found;
  std::size_t rows = 0;
  for (const std::string& code : sample.code) {
    const std::string_view text = reader::trim(code);
    if (text.find('=') == std::string_view::npos && text.find(':') == std::string_view::npos) continue;
    ++rows;
    if (text.size() < 2) continue;
    const char letter = upper(text[0]);
    if (!is_digit(text[1]) || (!is_letter(letter) && letter != '#')) continue;
    if (letter == 'G' && text[1] == '5') ++found[Group::offsets];
    if (letter == 'T' || letter == 'H' || letter == 'D') ++found[Group::offsets];
    if (letter == 'R' || letter == 'V' || letter == 'Q' || letter == '#') ++found[Group::variables];
    if (letter == 'P' || letter == 'N') ++found[Group::parameters];
  }
  for (const auto& [group, times] : found) {
    if (times * 10 > rows * 9) return group;
  }
  return std::nullopt;
}

}  // namespace

std::optional<Group> group_in_name(std::string_view name, const std::string& encoding) {
  constexpr std::size_t looked_at = 400;
  const std::string plain = lower(in_ascii(Encoding(encoding).to_utf8(name.substr(0, looked_at))));
  for (const auto& [part, group] : group_words) {
    if (says(plain, part)) return group;
  }
  return std::nullopt;
}

Group group_of(const Sample& sample, Group otherwise, std::vector<Guess>& guesses) {
  const auto usable = [](std::optional<Group> group) { return group && *group != Group::programs; };
  if (const auto named = group_in_name(sample.name); usable(named)) return *named;
  const std::vector<bool> rows = rows_of(sample);
  for (std::size_t i = 0; i < sample.lines.size() && !rows[i]; ++i) {
    if (const auto named = group_in_name(sample.lines[i].text, sample.encoding); usable(named)) {
      guesses.push_back(
          {std::string("the group, ") + std::string(group_name(*named)) + ": from the heading", "group"});
      return *named;
    }
  }
  if (const auto keyed = group_in_keys(sample)) {
    guesses.push_back(
        {std::string("the group, ") + std::string(group_name(*keyed)) + ": by what its rows are called",
         "group"});
    return *keyed;
  }
  guesses.push_back({"the group, " + std::string(group_name(otherwise)) +
                         ": neither the file's name nor its heading says it",
                     "group"});
  return otherwise;
}

}  // namespace keepway::layout
