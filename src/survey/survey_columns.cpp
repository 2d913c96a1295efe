// Proposals for tables: what parts the columns, where the header ends, which column is the key.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

using Cells = std::vector<std::string>;

bool is_number(std::string_view text) {
  return canonical_number(text).has_value();
}

bool is_whole(std::string_view text) {
  return is_number(text) && text.find('.') == std::string_view::npos;
}

struct Line {
  std::string_view text;
  std::uint64_t number = 0;
};

Cells cells_by(std::string_view line, char separator) {
  Cells cells;
  std::string cell;
  bool quote = false;
  for (const char c : line) {
    if (separator == ',' && c == '"') {
      quote = !quote;
    } else if (!quote && (separator == ' ' ? reader::is_gap(c) : c == separator)) {
      if (separator != ' ' || !cell.empty()) cells.emplace_back(reader::trim(cell));
      cell.clear();
    } else {
      cell += c;
    }
  }
  if (separator != ' ' || !cell.empty()) cells.emplace_back(reader::trim(cell));
  return cells;
}

struct Stretch {
  std::size_t at = 0;
  std::size_t width = 0;
};

// Bytes that hold something in one line at least: what lies between two stretches is blank in all lines.
std::vector<Stretch> stretches(const std::vector<Line>& lines) {
  std::vector<bool> used;
  for (const Line& line : lines) {
    if (line.text.size() > used.size()) used.resize(std::min<std::size_t>(line.text.size(), 1'024));
    for (std::size_t i = 0; i < std::min(line.text.size(), used.size()); ++i) {
      if (!reader::is_gap(line.text[i])) used[i] = true;
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

Cells cells_at(std::string_view line, const std::vector<Stretch>& columns) {
  Cells cells;
  for (const Stretch& column : columns) {
    const std::size_t at = std::min(column.at, line.size());
    cells.emplace_back(reader::trim(line.substr(at, column.width)));
  }
  return cells;
}

std::string plain_name(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const char low = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    const bool plain = (low >= 'a' && low <= 'z') || (low >= '0' && low <= '9');
    if (plain) out += low;
    if (!plain && !out.empty() && out.back() != '-') out += '-';
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out.substr(0, 24);
}

enum class What { whole, number, text };

// A table as one way of parting columns sees it.
class Table {
 public:
  Table(const Sample& sample, Split split) : sample_(sample), split_(split) {
    for (std::size_t i = 0; i < sample.lines.size(); ++i) {
      if (!sample.code[i].empty()) lines_.push_back({sample.lines[i].text, sample.lines[i].number});
    }
  }

  [[nodiscard]] std::optional<Candidate> propose() {
    if (lines_.empty()) return std::nullopt;
    find_rows();
    if (rows_.empty() || width_ < 2 || width_ > 64) return std::nullopt;
    find_kinds();
    find_names();
    if (!find_key()) return std::nullopt;
    return made();
  }

 private:
  [[nodiscard]] Cells cells(std::string_view line) const {
    switch (split_) {
      case Split::tab:
        return cells_by(line, '\t');
      case Split::comma:
        return cells_by(line, ',');
      case Split::fixed:
        return cells_at(line, columns_);
      case Split::blanks:
        break;
    }
    return cells_by(line, ' ');
  }

  static bool has_number(const Cells& row) {
    return std::any_of(row.begin(), row.end(), [](const std::string& cell) { return is_number(cell); });
  }

  // The header is what is above the first of two lines that both hold numbers.
  void find_rows() {
    std::size_t first = 0;
    const auto row_like = [&](std::size_t i) {
      return i < lines_.size() &&
             (split_ == Split::fixed ? has_number(cells_by(lines_[i].text, ' '))
                                     : cells(lines_[i].text).size() > 1 && has_number(cells(lines_[i].text)));
    };
    while (first < lines_.size() &&
           !(row_like(first) && (first + 1 == lines_.size() || row_like(first + 1)))) {
      ++first;
    }
    if (first == lines_.size()) return;
    header_ = std::vector<Line>(lines_.begin(), lines_.begin() + static_cast<std::ptrdiff_t>(first));
    lines_.erase(lines_.begin(), lines_.begin() + static_cast<std::ptrdiff_t>(first));
    if (split_ == Split::fixed) {
      columns_ = stretches(lines_);
      width_ = columns_.size();
    }
    std::size_t most = 0;
    std::size_t fewest = SIZE_MAX;
    for (const Line& line : lines_) {
      rows_.push_back(cells(line.text));
      most = std::max(most, rows_.back().size());
      fewest = std::min(fewest, rows_.back().size());
    }
    if (split_ == Split::blanks) {
      width_ = blank_width(fewest, most);
    } else if (split_ != Split::fixed) {
      // Commas in a note that nobody put in quotes: the heading knows how many columns there are.
      const std::size_t titles = header_.empty() ? most : cells(header_.back().text).size();
      width_ = titles > 1 ? std::min(titles, most) : most;
    }
  }

  // Columns parted by blanks: all, or up to where text of several words begins, which is the last then.
  [[nodiscard]] std::size_t blank_width(std::size_t fewest, std::size_t most) const {
    if (fewest == most) return most;
    std::size_t texts = fewest;  // first column that is text in some row
    for (const Cells& row : rows_) {
      for (std::size_t i = 1; i < std::min(row.size(), texts + 1); ++i) {
        if (!is_number(row[i])) texts = std::min(texts, i);
      }
    }
    return texts + 1;
  }

  void find_kinds() {
    kinds_.assign(width_, What::whole);
    for (const Cells& row : rows_) {
      for (std::size_t i = 0; i < std::min(width_, row.size()); ++i) {
        if (row[i].empty()) continue;
        const bool open = i + 1 == width_ && row.size() > width_;
        const What what = open || !is_number(row[i]) ? What::text
                          : is_whole(row[i])         ? What::whole
                                                     : What::number;
        kinds_[i] = std::max(kinds_[i], what);
      }
    }
  }

  void find_names() {
    std::set<std::string> taken;
    std::vector<std::string> found;
    if (!header_.empty()) {
      for (auto line = header_.rbegin(); line != header_.rend() && found.empty(); ++line) {
        const Cells titles = cells(line->text);
        if (titles.size() != width_) continue;
        for (const std::string& title : titles) found.push_back(plain_name(title));
        const bool good = std::all_of(found.begin(), found.end(), [&](const std::string& n) {
          return !n.empty() && taken.insert(n).second;
        });
        if (!good) found.clear();
        taken.clear();
      }
    }
    titled_ = !found.empty();
    for (std::size_t i = 0; i < width_; ++i) {
      names_.push_back(titled_                                      ? found[i]
                       : i == 0                                     ? std::string("number")
                       : i == 1 && width_ <= 3                      ? std::string("value")
                       : i + 1 == width_ && kinds_[i] == What::text ? std::string("note")
                                                                    : fmt::format("c{}", i + 1));
    }
  }

  [[nodiscard]] bool is_unique(const std::vector<std::size_t>& columns) const {
    std::set<std::string> seen;
    for (const Cells& row : rows_) {
      std::string key;
      for (const std::size_t column : columns) {
        if (column >= row.size() || row[column].empty()) return false;
        key += row[column] + "/";
      }
      if (!seen.insert(key).second) return false;
    }
    return true;
  }

  bool find_key() {
    const std::size_t last = width_ - 1;
    for (const What wanted : {What::whole, What::text}) {
      for (std::size_t i = 0; i < width_; ++i) {
        const bool note = i == last && kinds_[i] == What::text && i > 0;
        if (kinds_[i] != wanted || note || !is_unique({i})) continue;
        key_ = {i};
        // A name that comes before the number is rather the key: G54 1 -4.25
        return true;
      }
    }
    if (width_ > 2 && kinds_[0] != What::number && kinds_[1] != What::number && is_unique({0, 1})) {
      key_ = {0, 1};
      return true;
    }
    return false;
  }

  [[nodiscard]] std::string all_names() const {
    std::string all;
    for (const std::string& name : names_) all += name + " ";
    return all;
  }

  [[nodiscard]] Group group(std::vector<std::string>& guesses, std::string& prefix) const {
    const std::string names = all_names();
    const auto says = [&](std::string_view word) { return names.find(word) != std::string::npos; };
    const bool work_keys = std::any_of(rows_.begin(), rows_.end(), [&](const Cells& row) {
      return row[key_[0]].size() >= 3 && (row[key_[0]].starts_with("G5") || row[key_[0]].starts_with("g5"));
    });
    const auto named = group_in_name(sample_.name);
    const bool tools = says("tool") || says("length") || says("diam") || says("pocket") || says("radius");
    if (work_keys) {
      prefix = "work/";
      return Group::offsets;
    }
    if (tools || named == Group::offsets) {
      prefix = tools || width_ > 2 ? "tool/" : "";
      if (!tools) guesses.emplace_back("that its rows are tools: only the file's name says so");
      return Group::offsets;
    }
    if (named && *named != Group::programs) return *named;
    guesses.emplace_back("the group, parameters: neither the file's name nor its header says it");
    return Group::parameters;
  }

  [[nodiscard]] Candidate made() const {
    Candidate made;
    made.reader = ReaderKind::columns;
    made.header_lines = header_.size();
    std::string prefix;
    made.group = group(made.guesses, prefix);
    if (!titled_) made.guesses.emplace_back("the columns' names: there is no heading to take them from");
    made.keys = comment_line(sample_.openers);
    if (!header_.empty()) {
      const std::uint64_t first = lines_.front().number;
      made.keys += key_line("header", std::to_string(first - 1), "lines above the first row");
    }
    constexpr std::string_view splits[] = {"blanks", "tab", "comma", "fixed"};
    made.keys += key_line("split", toml_quoted(splits[static_cast<std::size_t>(split_)]));
    std::vector<std::string> columns;
    for (std::size_t i = 0; i < width_; ++i) {
      if (split_ != Split::fixed) {
        columns.push_back(toml_quoted(names_[i]));
        continue;
      }
      // Up to the next column: longer values than those seen fit, too.
      const std::size_t at = i == 0 ? 0 : columns_[i - 1].at + columns_[i - 1].width;
      const std::size_t width = columns_[i].at + columns_[i].width - at;
      columns.push_back(
          fmt::format("{{ name = {}, at = {}, width = {} }}", toml_quoted(names_[i]), at, width));
    }
    std::string list = fmt::format("[{}]", fmt::join(columns, ", "));
    if (split_ == Split::fixed) list = fmt::format("[\n  {},\n]", fmt::join(columns, ",\n  "));
    made.keys += key_line("columns", list);

    IncrementGuess increment;
    std::vector<std::string> fields;
    const std::size_t values = width_ - key_.size();
    for (std::size_t i = 0; i < width_; ++i) {
      if (std::find(key_.begin(), key_.end(), i) != key_.end()) continue;
      const bool text = kinds_[i] == What::text;
      const bool note = text && values > 1;
      const std::string name = values == 1 || (values == 2 && !note && last_is_note(i)) ? "" : names_[i];
      fields.push_back(
          text ? fmt::format("{} = {{ name = {}, kind = \"text\" }}", names_[i], toml_quoted(name))
               : fmt::format("{} = {}", names_[i], toml_quoted(name)));
      if (text) continue;
      for (const Cells& row : rows_) {
        if (i < row.size() && !row[i].empty()) increment.see(row[i]);
      }
    }
    made.keys += increment.line(made.group, made.guesses);
    std::string address = prefix;
    for (std::size_t i = 0; i < key_.size(); ++i)
      address += fmt::format("{}{{{}}}", i > 0 ? "/" : "", names_[key_[i]]);
    made.keys +=
        key_line("address", toml_quoted(address), fmt::format("key: the column {}", names_[key_[0]]));
    made.keys += key_line("fields", fmt::format("{{ {} }}", fmt::join(fields, ", ")));
    return made;
  }

  // Of two values the other is the row's note: `47 1 door switch`.
  [[nodiscard]] bool last_is_note(std::size_t value) const {
    return kinds_.back() == What::text && value + 1 != width_ && !titled_;
  }

  const Sample& sample_;
  Split split_;
  std::vector<Line> header_;
  std::vector<Line> lines_;
  std::vector<Cells> rows_;
  std::vector<Stretch> columns_;
  std::size_t width_ = 0;
  std::vector<What> kinds_;
  std::vector<std::string> names_;
  bool titled_ = false;
  std::vector<std::size_t> key_;
};

}  // namespace

Candidates propose_columns(const Sample& sample) {
  std::size_t tabs = 0;
  std::size_t commas = 0;
  for (std::size_t i = 0; i < sample.lines.size(); ++i) {
    if (sample.code[i].empty()) continue;
    tabs += sample.lines[i].text.find('\t') != std::string_view::npos ? 1 : 0;
    commas += sample.lines[i].text.find(',') != std::string_view::npos ? 1 : 0;
  }
  Candidates found;
  const auto add = [&](Split split) {
    if (auto candidate = Table(sample, split).propose()) found.push_back(std::move(*candidate));
  };
  const std::size_t lines = sample.code_lines();
  if (tabs * 10 >= lines * 7 && lines > 0) add(Split::tab);
  if (commas * 10 >= lines * 7 && lines > 0) add(Split::comma);
  add(Split::blanks);
  add(Split::fixed);
  return found;
}

}  // namespace keepway::layout
