#include "keepway/namebook.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

namespace keepway {
namespace {

constexpr std::array<std::string_view, 11> column_names = {
    "address", "name", "unit", "kind", "min", "max", "step", "meaning", "flags", "default", "caution"};
enum ColumnIndex { address, name, unit, kind, min, max, step, meaning, flags, default_value, caution };

constexpr std::array<std::pair<std::string_view, Kind>, 6> kinds = {{{"number", Kind::number},
                                                                     {"yesno", Kind::yesno},
                                                                     {"bits", Kind::bits},
                                                                     {"binary", Kind::binary},
                                                                     {"choice", Kind::choice},
                                                                     {"text", Kind::text}}};

struct Here {
  const std::string& file;
  std::uint64_t line;
  std::uint64_t byte;
};

[[noreturn]] void broken(const Here& here, const std::string& what, const std::string& remedy) {
  throw Error(Exit::input, what, remedy, Place{here.file, here.line, here.byte});
}

std::vector<std::string_view> split(std::string_view text, char separator) {
  std::vector<std::string_view> parts;
  for (std::size_t at = 0;;) {
    const std::size_t end = text.find(separator, at);
    parts.push_back(text.substr(at, end == std::string_view::npos ? end : end - at));
    if (end == std::string_view::npos) return parts;
    at = end + 1;
  }
}

std::string_view trim(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\r')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\r')) text.remove_suffix(1);
  return text;
}

std::optional<Decimal> read_number(std::string_view text, std::string_view column, const Here& here) {
  if (text.empty()) return std::nullopt;
  auto number = Decimal::parse(text);
  if (!number) {
    broken(here, fmt::format("'{}' in column '{}' is not a number", escape(text), column),
           "write a plain decimal number, as in -0.25, or leave it empty");
  }
  return number;
}

std::vector<Meaning> read_meanings(std::string_view text, const Here& here) {
  std::vector<Meaning> meanings;
  if (text.empty()) return meanings;
  for (const std::string_view part : split(text, ';')) {
    const std::size_t equals = part.find('=');
    if (equals == std::string_view::npos) {
      broken(here, fmt::format("'{}' in column 'meaning' has no '='", escape(trim(part))),
             "write value=meaning, parted by ';', as in 0=door interlock;1=coolant alarm");
    }
    meanings.push_back(
        {std::string(trim(part.substr(0, equals))), std::string(trim(part.substr(equals + 1)))});
  }
  return meanings;
}

void read_flags(Entry& entry, std::string_view text, const Here& here) {
  if (text.empty()) return;
  for (const std::string_view part : split(text, ',')) {
    const std::string_view flag = trim(part);
    if (flag == "living") {
      entry.living = true;
    } else if (flag == "machine-own") {
      entry.own = true;
    } else if (flag == "power-cycle") {
      entry.power_cycle = true;
    } else {
      broken(here, fmt::format("flag '{}' is not known", escape(flag)),
             "use living, machine-own or power-cycle, parted by commas");
    }
  }
}

// Where each known column stands in a row; columns that are not given are npos.
using Columns = std::array<std::size_t, column_names.size()>;

Columns read_header(std::string_view row, const Here& here) {
  Columns columns;
  columns.fill(std::string_view::npos);
  const auto cells = split(row, '\t');
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const auto known = std::find(column_names.begin(), column_names.end(), trim(cells[i]));
    if (known == column_names.end()) {
      broken(
          here, fmt::format("column '{}' is not known", escape(trim(cells[i]))),
          fmt::format("the first line names the columns, parted by tabs: {}", fmt::join(column_names, " ")));
    }
    columns[static_cast<std::size_t>(known - column_names.begin())] = i;
  }
  if (columns[address] == std::string_view::npos || columns[name] == std::string_view::npos) {
    broken(here, "the first line must name the columns 'address' and 'name'",
           fmt::format("the columns are, parted by tabs: {}", fmt::join(column_names, " ")));
  }
  return columns;
}

Entry read_entry(std::string_view row, const Columns& columns, const Here& here) {
  const auto cells = split(row, '\t');
  const auto cell = [&](ColumnIndex column) {
    const std::size_t at = columns[column];
    return at < cells.size() ? trim(cells[at]) : std::string_view{};
  };
  Entry entry;
  try {
    entry.address = Address::parse(cell(address)).text();
  } catch (const Error& error) {
    broken(here, error.what(), error.remedy());
  }
  entry.name = cell(name);
  entry.unit = cell(unit);
  if (const std::string_view text = cell(kind); !text.empty()) {
    const auto* const known =
        std::find_if(kinds.begin(), kinds.end(), [&](const auto& k) { return k.first == text; });
    if (known == kinds.end()) {
      broken(here, fmt::format("kind '{}' is not known", escape(text)),
             "use number, yesno, bits, binary, choice or text");
    }
    entry.kind = known->second;
  }
  entry.min = read_number(cell(min), "min", here);
  entry.max = read_number(cell(max), "max", here);
  entry.step = read_number(cell(step), "step", here);
  entry.meanings = read_meanings(cell(meaning), here);
  read_flags(entry, cell(flags), here);
  if (const std::string_view text = cell(default_value); !text.empty()) {
    entry.default_value = canonical_number(text).value_or(std::string(text));
  }
  entry.caution = cell(caution);
  return entry;
}

// Holds an address against a pattern whose `*` stand for one part each. Fills what they stood for.
bool matches(std::string_view pattern, std::string_view text, std::vector<std::string>& stood) {
  const auto wanted = split(pattern, '/');
  const auto given = split(text, '/');
  if (wanted.size() != given.size()) return false;
  stood.clear();
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    if (wanted[i] == "*") {
      stood.emplace_back(given[i]);
    } else if (wanted[i] != given[i]) {
      return false;
    }
  }
  return true;
}

void fill_stars(std::string& text, const std::vector<std::string>& stood) {
  std::size_t next = 0;
  for (std::size_t at = text.find('*'); at != std::string::npos && next < stood.size();
       at = text.find('*', at)) {
    text.replace(at, 1, stood[next]);
    at += stood[next++].size();
  }
}

}  // namespace

Namebook Namebook::parse(std::string_view tsv, const std::string& file) {
  Namebook book;
  std::optional<Columns> columns;
  std::uint64_t line = 0;
  for (std::size_t at = 0; at < tsv.size();) {
    ++line;
    const std::size_t end = std::min(tsv.find('\n', at), tsv.size());
    std::string_view row = tsv.substr(at, end - at);
    const Here here{file, line, at};
    at = end + 1;
    if (!row.empty() && row.back() == '\r') row.remove_suffix(1);
    if (trim(row).empty() || row.front() == '#') continue;
    if (!columns) {
      columns = read_header(row, here);
    } else {
      book.entries_.push_back(read_entry(row, *columns, here));
    }
  }
  for (std::size_t i = 0; i < book.entries_.size(); ++i) {
    const bool pattern = book.entries_[i].address.find('*') != std::string::npos;
    (pattern ? book.patterns_ : book.exact_).push_back(i);
  }
  std::stable_sort(book.exact_.begin(), book.exact_.end(), [&](std::size_t a, std::size_t b) {
    return book.entries_[a].address < book.entries_[b].address;
  });
  return book;
}

std::string Namebook::write() const {
  std::string out = fmt::format("{}\n", fmt::join(column_names, "\t"));
  const auto number = [](const std::optional<Decimal>& value) {
    return value ? value->text() : std::string();
  };
  for (const Entry& entry : entries_) {
    std::vector<std::string> meanings;
    for (const Meaning& each : entry.meanings) meanings.push_back(each.value + "=" + each.name);
    std::vector<std::string_view> set;
    if (entry.living) set.emplace_back("living");
    if (entry.own) set.emplace_back("machine-own");
    if (entry.power_cycle) set.emplace_back("power-cycle");
    const auto* const known =
        std::find_if(kinds.begin(), kinds.end(), [&](const auto& k) { return k.second == entry.kind; });
    out += fmt::format("{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\n", entry.address, entry.name, entry.unit,
                       known->first, number(entry.min), number(entry.max), number(entry.step),
                       fmt::join(meanings, ";"), fmt::join(set, ","),
                       entry.default_value == "0" ? "" : entry.default_value, entry.caution);
  }
  return out;
}

std::optional<Entry> Namebook::find(Group group, std::string_view key) const {
  const std::string wanted = Address{group, std::string(key)}.text();
  const auto exact =
      std::lower_bound(exact_.begin(), exact_.end(), wanted,
                       [&](std::size_t i, const std::string& text) { return entries_[i].address < text; });
  if (exact != exact_.end() && entries_[*exact].address == wanted) return entries_[*exact];
  std::vector<std::string> stood;
  for (const std::size_t i : patterns_) {
    if (!matches(entries_[i].address, wanted, stood)) continue;
    Entry entry = entries_[i];
    entry.address = wanted;
    fill_stars(entry.name, stood);
    fill_stars(entry.caution, stood);
    return entry;
  }
  return std::nullopt;
}

std::string Namebook::name(Group group, std::string_view key) const {
  const auto entry = find(group, key);
  return entry && !entry->name.empty() ? entry->name : Address{group, std::string(key)}.text();
}

}  // namespace keepway
