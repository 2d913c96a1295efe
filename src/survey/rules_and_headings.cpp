// Lines of a sample that are no data: rules, headings, feet of pages.
#include <algorithm>
#include <array>
#include <map>
#include <set>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t most_patterns = 60;
constexpr std::size_t longest_pattern = 60;

std::vector<std::string_view> tokens_of(std::string_view line) {
  std::vector<std::string_view> out;
  for (std::string_view left = reader::trim(line); !left.empty();) {
    const std::size_t end = std::min(left.find_first_of(" \t"), left.size());
    out.push_back(left.substr(0, end));
    left = reader::trim(left.substr(end));
  }
  return out;
}

// A star of the line itself is any one sign in its pattern, as a star there is any text.
std::string token_pattern(std::string_view token) {
  if (!has_digit(token)) {
    std::string out(token);
    std::replace(out.begin(), out.end(), '*', '?');
    return out;
  }
  const std::size_t sign = token.find_first_of("=:");  // "SUM=1250"
  const bool name = sign != std::string_view::npos && sign > 0 &&
                    std::all_of(token.begin(), token.begin() + static_cast<std::ptrdiff_t>(sign), is_alpha);
  return name ? std::string(token.substr(0, sign + 1)) + "*" : "*";
}

// A foot: behind the last row, so many lines of text at most.
constexpr std::size_t most_feet = 6;
constexpr std::size_t most_tops = 40;

class Finder {
 public:
  explicit Finder(Sample& sample) : sample_(sample), rows_(rows_of(sample)) {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const std::string_view text = reader::trim(sample.lines[i].text);
      if (sample.code[i].empty() || rows_[i]) continue;
      if (const std::string pattern = pattern_of_line(text); !pattern.empty()) ++times_[pattern];
    }
  }

  void find() {
    const auto first = static_cast<std::size_t>(std::find(rows_.begin(), rows_.end(), true) - rows_.begin());
    if (first == rows_.size()) return;
    const auto last =
        rows_.size() - 1 -
        static_cast<std::size_t>(std::find(rows_.rbegin(), rows_.rend(), true) - rows_.rbegin());
    const bool headed = count(0, first) <= most_tops;
    const bool footed = count(last + 1, rows_.size()) <= most_feet;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (sample_.code[i].empty() || rows_[i]) continue;
      const std::string_view text = reader::trim(sample_.lines[i].text);
      const bool certain = is_rule(text) || begins_as_rule(text) || is_page_line(text) ||
                           times_[pattern_of_line(text)] > 1 ||
                           (footed && i > last && (!has_value(text) || says_sum(text)));
      if (certain) {
        mark(i, LineRole::skip);
      } else if (headed && i < first) {
        mark(i, LineRole::top);
      }
    }
    beside();
  }

 private:
  [[nodiscard]] std::size_t count(std::size_t from, std::size_t to) const {
    return static_cast<std::size_t>(std::count_if(sample_.code.begin() + static_cast<std::ptrdiff_t>(from),
                                                  sample_.code.begin() + static_cast<std::ptrdiff_t>(to),
                                                  [](const std::string& code) { return !code.empty(); }));
  }

  void mark(std::size_t i, LineRole role) {
    sample_.roles[i] = role;
    sample_.code[i].clear();
    if (role != LineRole::skip) return;
    const std::string pattern = pattern_of_line(sample_.lines[i].text);
    if (!pattern.empty() && seen_.insert(lower(pattern)).second && sample_.skip.size() < most_patterns)
      sample_.skip.push_back(pattern);
  }

  // A line of text in one block with a line that is no data is a part of the same heading.
  void beside() {
    for (int round = 0; round < 2; ++round) {
      for (std::size_t i = 1; i < rows_.size(); ++i) {
        const std::size_t at = round == 0 ? i : rows_.size() - i;
        const std::size_t by = round == 0 ? i - 1 : rows_.size() - i + 1;
        if (by >= rows_.size() || at >= rows_.size()) continue;
        if (sample_.code[at].empty() || rows_[at] || sample_.roles[by] != LineRole::skip) continue;
        if (is_rule(reader::trim(sample_.lines[by].text)) || is_page_line(sample_.lines[by].text))
          mark(at, LineRole::skip);
      }
    }
  }

  Sample& sample_;
  std::vector<bool> rows_;
  std::map<std::string, std::size_t> times_;
  std::set<std::string> seen_;
};

}  // namespace

bool is_rule(std::string_view line) {
  const std::string_view text = reader::trim(line);
  if (text.size() < 3 || text == "%") return false;
  return std::none_of(text.begin(), text.end(),
                      [](char c) { return is_alpha(c) || is_digit(c) || c == '%'; });
}

bool begins_as_rule(std::string_view line) {
  constexpr std::string_view signs = "=-*+~<>_";
  const std::string_view text = reader::trim(line);
  if (text.size() < 4 || signs.find(text[0]) == std::string_view::npos || text[1] != text[0]) return false;
  const char behind = text[0] == '<' ? '>' : text[0];
  const bool framed = text.back() == behind && text[text.size() - 2] == behind;  // "-- end --", "<<END>>"
  return text[2] == text[0] || framed;
}

bool is_numbered_row(std::string_view line) {
  const std::string_view text = reader::trim(line);
  const std::size_t end = text.find_first_of(" \t,;|");
  if (end == std::string_view::npos || !all_digits(text.substr(0, end))) return false;
  const std::string_view rest = text.substr(end);
  const bool cell = rest.front() != ' ' || rest.starts_with("  ");
  const std::string_view last = reader::trim(rest.substr(rest.find_last_of(" \t,;|") + 1));
  return cell && (canonical_number(last) || (rest.front() != ' ' && has_digit(rest)));
}

bool is_page_line(std::string_view line) {
  constexpr std::array<std::string_view, 19> words = {
      "blad",   "pag",    "hoja",      "page",  "seite", "blatt", "sheet",    "pagina", "folio", "side",
      "strana", "strona", "bladzijde", "folha", "sida",  "oldal", "feuillet", "sivu",   "str"};
  constexpr std::array<std::string_view, 4> fillers = {"", "no", "nr", "n"};
  if (is_numbered_row(line)) return false;
  const auto in = [](const auto& list, std::string_view word) {
    return std::find(list.begin(), list.end(), word) != list.end();
  };
  // A token as letters and what is behind them: "PAGE", "PAGE3", "-SEITE-".
  const auto parted = [](std::string_view token) {
    token.remove_prefix(std::min(token.find_first_not_of("-([<*=#."), token.size()));
    const auto end = static_cast<std::size_t>(
        std::find_if_not(token.begin(), token.end(), [](char c) { return is_alpha(c); }) - token.begin());
    return std::pair(lower(token.substr(0, end)), token.substr(end));
  };
  // "3", "3/5", "3)": no value, which may have a point or a sign.
  const auto is_page_number = [](std::string_view text) {
    while (!text.empty() && !is_digit(text.back())) text.remove_suffix(1);
    text.remove_prefix(std::min(text.find_first_not_of(":.#-("), text.size()));
    return !text.empty() && text.find_first_not_of("0123456789/") == std::string_view::npos;
  };
  const auto tokens = tokens_of(line);
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    const auto [word, tail] = parted(tokens[i]);
    if (!in(words, word)) continue;
    if (word == "side" && (i + 2 != tokens.size() || !all_digits(tokens[i + 1])))
      continue;  // "SIDE FEED 200"
    if (word == "str" && !tail.starts_with('.')) continue;
    if (is_page_number(tail)) return true;
    std::size_t next = i + 1;
    while (next < tokens.size() && next < i + 3 && !has_digit(tokens[next]) &&
           in(fillers, parted(tokens[next]).first))
      ++next;
    if (next < tokens.size() && is_page_number(tokens[next])) return true;
  }
  return false;
}

std::string pattern_of_line(std::string_view line) {
  const std::string_view text = reader::trim(line);
  if (is_rule(text)) {
    const bool open = text.find_first_not_of("*? \t") == std::string_view::npos;  // which fits any text
    return open ? std::string() : std::string(text.substr(0, 3)) + "*";
  }
  std::string out;
  bool says = false;
  for (const std::string_view token : tokens_of(text)) {
    const std::string part = token_pattern(token);
    if (part == "*" && out.ends_with("*")) continue;
    if (out.size() + part.size() > longest_pattern) {
      if (!out.ends_with("*")) out += " *";
      break;
    }
    says = says || part != "*";
    out += (out.empty() ? "" : " ") + part;
  }
  if (says) return out;
  // A date alone: what is no digit tells it. Of values, a row's, it would tell nothing.
  const auto all = tokens_of(text);
  const bool dates = std::all_of(all.begin(), all.end(), [](std::string_view token) {
    return is_date_or_time(token) || token.find('.') == std::string_view::npos ||
           !canonical_number(token.substr(std::min(token.find_first_of("+-.0123456789"), token.size())));
  });
  if (!dates) return {};
  out.clear();
  for (const char c : text.substr(0, longest_pattern)) out += is_digit(c) || is_alpha(c) ? '?' : c;
  return out.find_first_not_of("*? \t") == std::string::npos ? std::string() : out;
}

void mark_no_data(Sample& sample) {
  Finder(sample).find();
}

}  // namespace keepway::layout
