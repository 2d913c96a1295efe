// Names of files and what in them differs from machine to machine and from backup to backup; and the serial.
#include <algorithm>
#include <set>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "reader/lines.hpp"
#include "reader/serial_line.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t shortest_serial = 3;
constexpr std::size_t lines_looked_at = 200;

std::string_view last_part(std::string_view name) {
  return name.substr(name.rfind('/') + 1);
}

// 20230115, 2023.
bool is_date(std::string_view digits) {
  if (digits.size() != 8 && digits.size() != 4) return false;
  if (!digits.starts_with("19") && !digits.starts_with("20")) return false;
  if (digits.size() == 4) return true;
  const std::string_view month = digits.substr(4, 2);
  const std::string_view day = digits.substr(6, 2);
  return month >= "01" && month <= "12" && day >= "01" && day <= "31";
}

// The longest run of three or more digits that the names of all files have, when there are several.
std::string serial_in_names(const std::vector<OriginalView>& samples) {
  std::set<std::string> common;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    std::set<std::string> here;
    const std::string_view name = last_part(samples[i].name);
    for (std::size_t at = 0; at < name.size(); ++at) {
      if (!is_digit(name[at])) continue;
      const std::size_t begin = at;
      while (at < name.size() && is_digit(name[at])) ++at;
      if (at - begin >= shortest_serial && !is_date(name.substr(begin, at - begin)))
        here.emplace(name.substr(begin, at - begin));
    }
    std::set<std::string> both;
    std::set_intersection(common.begin(), common.end(), here.begin(), here.end(),
                          std::inserter(both, both.end()));
    common = i == 0 ? here : both;
  }
  std::string found;
  for (const std::string& run : common) {
    if (run.size() > found.size()) found = run;
  }
  return samples.size() > 1 ? found : "";
}

}  // namespace

Serial serial_of(const std::vector<OriginalView>& texts) {
  for (const OriginalView& sample : texts) {
    reader::Lines lines(sample.bytes);
    reader::Line line;
    for (std::size_t i = 0; i < lines_looked_at && lines.next(line); ++i) {
      if (std::string found = reader::serial_in_line(line.text); !found.empty())
        return {found, escape(sample.name) + ":" + std::to_string(line.number)};
    }
  }
  if (std::string found = serial_in_names(texts); !found.empty()) return {found, "the names of the files"};
  return {};
}

Serial serial_against(const std::vector<OriginalView>& texts, const std::string& given) {
  Serial other;
  for (const OriginalView& sample : texts) {
    if (sample.name.find(given) != std::string_view::npos) return {};
    reader::Lines lines(sample.bytes);
    reader::Line line;
    for (std::size_t i = 0; i < lines_looked_at && lines.next(line); ++i) {
      std::string found = reader::serial_in_line(line.text);
      if (found.empty()) continue;
      if (reader::is_of_serial(found, given)) return {};
      if (other.text.empty())
        other = {std::move(found), escape(sample.name) + ":" + std::to_string(line.number)};
    }
  }
  return other;
}

std::string serial_line(const Sample& sample, const std::string& serial) {
  if (serial.empty()) return {};
  for (std::size_t i = 0; i < std::min(sample.lines.size(), lines_looked_at); ++i) {
    if (!sample.code[i].empty()) continue;  // a row, which is data
    const std::string_view line = reader::trim(sample.lines[i].text);
    const std::size_t at = line.find(serial);
    if (at == std::string_view::npos) continue;
    const std::size_t end = at + serial.size();
    if ((at > 0 && is_digit(line[at - 1])) || (end < line.size() && is_digit(line[end]))) continue;
    std::size_t from = at;  // the word that the serial is in
    while (from > 0 && !reader::is_gap(line[from - 1])) --from;
    std::size_t to = end;
    while (to < line.size() && !reader::is_gap(line[to])) ++to;
    const auto around = [](std::string_view text) {
      if (reader::trim(text).empty()) return std::string();
      const std::string found = pattern_of_line(text);
      return found.empty() ? std::string("*") : found;
    };
    std::string pattern = around(line.substr(0, from));
    if (!pattern.empty()) pattern += ' ';
    pattern +=
        std::string(line.substr(from, at - from)) + "{serial}" + std::string(line.substr(end, to - end));
    if (!reader::trim(line.substr(to)).empty()) pattern += " *";  // a date, units: other ones another day
    if (pattern.find_first_not_of("*? ") != std::string::npos && pattern.size() < 150)
      return readable(pattern, sample.encoding);
  }
  return {};
}

std::string pattern_of_name(std::string_view whole, const std::string& serial, ReaderKind reader) {
  const std::string_view name = last_part(whole);
  const bool utf8 = Encoding("UTF-8").from_utf8(name).has_value();
  std::string out;
  for (std::size_t at = 0; at < name.size();) {
    if (!serial.empty() && name.substr(at).starts_with(serial)) {
      out += "{serial}";
      at += serial.size();
      continue;
    }
    // Digits, and what parts them in a date: 2026-03-01.
    std::size_t end = at;
    std::size_t digits = 0;
    while (end < name.size() &&
           (is_digit(name[end]) || (digits > 0 && (name[end] == '-' || name[end] == '_') &&
                                    end + 1 < name.size() && is_digit(name[end + 1])))) {
      if (!serial.empty() && name.substr(end).starts_with(serial)) break;
      digits += is_digit(name[end]) ? 1U : 0U;
      ++end;
    }
    if (digits >= 4) {
      out += '*';
      at = end;
      continue;
    }
    const auto c = static_cast<unsigned char>(name[at]);
    const bool special = c < 0x21 || c == 0x7f || (c > 0x7f && !utf8) || c == '{' || c == '}';
    out += special ? '?' : name[at];
    ++at;
  }
  const std::size_t dot = out.rfind('.');
  if (reader == ReaderKind::blocks && out.find("{serial}") == std::string::npos && dot != std::string::npos &&
      dot > 0) {
    return "*" + out.substr(dot);  // programs come under any name
  }
  return out;
}

}  // namespace keepway::layout
