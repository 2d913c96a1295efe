#include "survey/fixed_columns.hpp"

#include <algorithm>
#include <set>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t widest = 1'024;

std::string_view cell(std::string_view line, const Stretch& column) {
  return reader::trim(line.substr(std::min(column.at, line.size()), column.width));
}

// Bytes that hold something in one line at least: what lies between two stretches is blank in all lines.
std::vector<Stretch> stretches(const std::vector<std::string_view>& lines) {
  std::vector<bool> used;
  for (const std::string_view line : lines) {
    if (line.size() > used.size()) used.resize(std::min(line.size(), widest));
    for (std::size_t i = 0; i < std::min(line.size(), used.size()); ++i) {
      if (!reader::is_gap(line[i])) used[i] = true;
    }
  }
  std::vector<Stretch> found;
  for (std::size_t i = 0; i < used.size(); ++i) {
    if (!used[i]) continue;
    const std::size_t at = i;
    while (i < used.size() && used[i]) ++i;
    found.push_back({at, i - at});
  }
  return found;
}

bool all_numbers(const std::vector<std::string_view>& lines, const Stretch& column) {
  return std::all_of(lines.begin(), lines.end(), [&](std::string_view line) {
    const std::string_view text = cell(line, column);
    return text.empty() || canonical_number(text);
  });
}

// T001: a letter or two, and digits.
bool all_codes(const std::vector<std::string_view>& lines, const Stretch& column) {
  return std::all_of(lines.begin(), lines.end(), [&](std::string_view line) {
    const std::string_view text = cell(line, column);
    const std::size_t digit = text.find_first_of("0123456789");
    return (digit == 1 || digit == 2) && is_letter(text.front()) && all_digits(text.substr(digit));
  });
}

// One text in all rows; empty when they differ, or a row has none.
std::string_view constant(const std::vector<std::string_view>& lines, const Stretch& column) {
  const std::string_view first = cell(lines.front(), column);
  const bool same = std::all_of(lines.begin(), lines.end(),
                                [&](std::string_view line) { return cell(line, column) == first; });
  return same ? first : std::string_view();
}

// `*` in front of some rows, and nothing there in others: a mark, which is no data. Empty for anything else.
std::string_view mark_of_some(const std::vector<std::string_view>& lines, const Stretch& column) {
  if (column.width > 1) return {};
  std::string_view mark;
  bool empty = false;
  for (const std::string_view line : lines) {
    const std::string_view here = cell(line, column);
    empty = empty || here.empty();
    if (here.empty()) continue;
    if (is_alnum(here[0]) || here[0] == '+' || here[0] == '-' || (!mark.empty() && here != mark)) return {};
    mark = here;
  }
  return empty ? mark : std::string_view();
}

// Text of several words, with one blank between them in all rows, is one column.
std::vector<Stretch> join_texts(const std::vector<std::string_view>& lines, const std::vector<Stretch>& all) {
  std::vector<Stretch> out;
  for (const Stretch& each : all) {
    const bool near = !out.empty() && each.at == out.back().at + out.back().width + 1;
    const auto is_text = [&](const Stretch& column) {
      const std::string_view same = constant(lines, column);
      const bool signs = !same.empty() && std::none_of(same.begin(), same.end(), is_alnum);
      return !signs && !all_numbers(lines, column);
    };
    if (near && lines.size() > 1 && out.size() > 1 && is_text(each) && is_text(out.back())) {
      out.back().width = each.at + each.width - out.back().at;
    } else {
      out.push_back(each);
    }
  }
  return out;
}

// A sign or letter that all rows have in front of a number, apart from it in some: `R  1`, `R 12`.
std::size_t front_of(const std::vector<std::string_view>& lines, const Stretch& column) {
  constexpr std::size_t longest = 3;
  std::size_t front = 0;
  while (front < longest && front + 1 < column.width) {
    const std::size_t at = column.at + front;
    const char first = at < lines.front().size() ? lines.front()[at] : ' ';
    const bool same = std::all_of(lines.begin(), lines.end(), [&](std::string_view line) {
      return at < line.size() && line[at] == first;
    });
    if (!same || is_digit(first) || first == '+' || first == '-' || first == '.' || reader::is_gap(first))
      break;
    ++front;
  }
  if (front == 0) return 0;
  const Stretch rest{column.at + front, column.width - front};
  const bool apart = std::any_of(lines.begin(), lines.end(), [&](std::string_view line) {
    return rest.at < line.size() && reader::is_gap(line[rest.at]);
  });
  return apart && all_numbers(lines, rest) ? front : 0;
}

// A sign that all rows have right behind a number: `  1:  75.2`.
std::size_t sign_behind(const std::vector<std::string_view>& lines, const Stretch& column) {
  if (column.width < 2) return 0;
  const std::size_t at = column.at + column.width - 1;
  const char last = at < lines.front().size() ? lines.front()[at] : ' ';
  if (reader::is_gap(last) || is_alnum(last) || last == '.' || last == '-' || last == '+') return 0;
  const bool same = std::all_of(lines.begin(), lines.end(),
                                [&](std::string_view line) { return at < line.size() && line[at] == last; });
  return same && all_numbers(lines, {column.at, column.width - 1}) ? 1 : 0;
}

// "001+0012500+004000": cut where all lines have a sign.
std::vector<Stretch> cut_at_signs(const std::vector<std::string_view>& lines,
                                  const std::vector<Stretch>& all) {
  constexpr std::size_t enough = 3;
  std::vector<Stretch> out;
  for (Stretch each : all) {
    const auto is_sign = [&](std::size_t at) {
      return std::all_of(lines.begin(), lines.end(), [&](std::string_view line) {
        return at < line.size() && (line[at] == '+' || line[at] == '-');
      });
    };
    for (std::size_t i = each.at + 1; lines.size() >= enough && i < each.at + each.width; ++i) {
      const Stretch before{each.at, i - each.at};
      if (!is_sign(i) || !(all_numbers(lines, before) || all_codes(lines, before))) continue;
      out.push_back(before);
      each = {i, each.width - before.width};
    }
    out.push_back(each);
  }
  return out;
}

}  // namespace

FixedPlan plan_columns(const std::vector<std::string_view>& lines) {
  FixedPlan plan;
  if (lines.empty()) return plan;
  const auto between = [&](std::string_view text) {
    if (std::find(plan.between.begin(), plan.between.end(), text) == plan.between.end())
      plan.between.emplace_back(text);
  };
  for (Stretch each : join_texts(lines, cut_at_signs(lines, stretches(lines)))) {
    const std::string_view same = constant(lines, each);
    const bool signs = !same.empty() && same.find_first_of(" \t") == std::string_view::npos &&
                       std::none_of(same.begin(), same.end(), is_alnum);
    if (signs && lines.size() > 1) {
      between(same);
      continue;
    }
    if (const std::string_view mark = mark_of_some(lines, each); !mark.empty()) {
      between(mark);
      continue;
    }
    if (const std::size_t front = lines.size() > 1 ? front_of(lines, each) : 0; front > 0) {
      between(lines.front().substr(each.at, front));
      each = {each.at + front, each.width - front};
    }
    if (const std::size_t behind = lines.size() > 1 ? sign_behind(lines, each) : 0; behind > 0) {
      between(lines.front().substr(each.at + each.width - 1, 1));
      --each.width;
    }
    plan.columns.push_back(each);
  }
  return plan;
}

std::vector<std::string> titles_above(std::string_view heading, const std::vector<Stretch>& columns) {
  std::vector<std::string> titles(columns.size());
  for (std::size_t at = 0; at < heading.size(); ++at) {
    if (reader::is_gap(heading[at])) continue;
    const std::size_t begin = at;
    while (at < heading.size() && !reader::is_gap(heading[at])) ++at;
    std::size_t nearest = 0;
    std::size_t least = SIZE_MAX;
    for (std::size_t i = 0; i < columns.size(); ++i) {
      const std::size_t from = columns[i].at;
      const std::size_t to = from + columns[i].width;
      const std::size_t far = begin >= to ? begin - to + 1 : at <= from ? from - at + 1 : 0;
      if (far >= least) continue;
      least = far;
      nearest = i;
    }
    if (least == SIZE_MAX || least > 4) return std::vector<std::string>(columns.size());
    std::string& title = titles[nearest];
    title += (title.empty() ? "" : " ") + std::string(heading.substr(begin, at - begin));
  }
  return titles;
}

}  // namespace keepway::layout
