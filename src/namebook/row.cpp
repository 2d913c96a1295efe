#include "namebook/row.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace keepway {
namespace {

constexpr std::array<std::pair<std::string_view, Kind>, 6> kinds = {{{"number", Kind::number},
                                                                     {"yesno", Kind::yesno},
                                                                     {"bits", Kind::bits},
                                                                     {"binary", Kind::binary},
                                                                     {"choice", Kind::choice},
                                                                     {"text", Kind::text}}};

}  // namespace

std::string_view kind_name(Kind kind) {
  const auto* const known =
      std::find_if(kinds.begin(), kinds.end(), [&](const auto& k) { return k.second == kind; });
  return known->first;
}

std::optional<Kind> parse_kind(std::string_view name) {
  const auto* const known =
      std::find_if(kinds.begin(), kinds.end(), [&](const auto& k) { return k.first == name; });
  return known == kinds.end() ? std::nullopt : std::optional(known->second);
}

namespace book {

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

namespace {

constexpr std::size_t max_shown = 80;  // bytes of a wrong cell

struct Here {
  const std::string& file;
  std::uint64_t line;
  std::uint64_t byte;
};

[[noreturn]] void broken(const Here& here, const std::string& what, const std::string& remedy) {
  throw Error(ErrorKind::input, what, remedy, Place{here.file, here.line, here.byte});
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
             "write value=meaning, separated by ';', as in 0=door interlock;1=coolant alarm");
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
             "use living, machine-own or power-cycle, separated by commas");
    }
  }
}

}  // namespace

Columns read_header(const Row& row, std::string_view parted_by) {
  Columns columns;
  columns.fill(std::string_view::npos);
  const std::string all = fmt::format("the first line names the columns, separated by {}: {}", parted_by,
                                      fmt::join(column_names, " "));
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    const std::string_view text = trim(row.cells[i].text);
    const Here here{row.file, row.line, row.cells[i].byte};
    const auto known = std::find(column_names.begin(), column_names.end(), text);
    if (known == column_names.end()) {
      broken(here, fmt::format("column '{}' is not known", escape(text.substr(0, max_shown))), all);
    }
    std::size_t& column = columns[static_cast<std::size_t>(known - column_names.begin())];
    if (column != std::string_view::npos) {
      broken(here, fmt::format("column '{}' is given twice", *known), "give each column once");
    }
    column = i;
  }
  if (columns[address] == std::string_view::npos || columns[name] == std::string_view::npos) {
    broken({row.file, row.line, row.byte}, "the first line must name the columns 'address' and 'name'", all);
  }
  return columns;
}

Entry read_entry(const Row& row, const Columns& columns) {
  const auto cell = [&](ColumnIndex column) {
    const std::size_t at = columns[column];
    return at < row.cells.size() ? trim(row.cells[at].text) : std::string_view{};
  };
  const auto here = [&](ColumnIndex column) {
    const std::size_t at = columns[column];
    return Here{row.file, row.line, at < row.cells.size() ? row.cells[at].byte : row.byte};
  };
  Entry entry;
  try {
    entry.address = Address::parse(cell(address)).text();
  } catch (const Error& error) {
    broken(here(address), error.what(), error.remedy());
  }
  entry.name = cell(name);
  entry.unit = cell(unit);
  if (const std::string_view text = cell(kind); !text.empty()) {
    const auto known = parse_kind(text);
    if (!known) {
      broken(here(kind), fmt::format("kind '{}' is not known", escape(text)),
             "use number, yesno, bits, binary, choice or text");
    }
    entry.kind = *known;
  }
  entry.min = read_number(cell(min), "min", here(min));
  entry.max = read_number(cell(max), "max", here(max));
  entry.step = read_number(cell(step), "step", here(step));
  entry.meanings = read_meanings(cell(meaning), here(meaning));
  read_flags(entry, cell(flags), here(flags));
  if (const std::string_view text = cell(default_value); !text.empty()) {
    entry.default_value = canonical_number(text).value_or(std::string(text));
  }
  entry.caution = cell(caution);
  return entry;
}

std::array<std::string, column_names.size()> cells_of(const Entry& entry) {
  const auto number = [](const std::optional<Decimal>& value) {
    return value ? value->text() : std::string();
  };
  std::vector<std::string> meanings;
  for (const Meaning& each : entry.meanings) meanings.push_back(each.value + "=" + each.name);
  std::vector<std::string_view> set;
  if (entry.living) set.emplace_back("living");
  if (entry.own) set.emplace_back("machine-own");
  if (entry.power_cycle) set.emplace_back("power-cycle");
  return {entry.address,
          entry.name,
          entry.unit,
          std::string(kind_name(entry.kind)),
          number(entry.min),
          number(entry.max),
          number(entry.step),
          fmt::format("{}", fmt::join(meanings, ";")),
          fmt::format("{}", fmt::join(set, ",")),
          entry.default_value == "0" ? "" : entry.default_value,
          entry.caution};
}

Row tsv_row(std::string_view text, const std::string& file, std::uint64_t line, std::uint64_t byte) {
  Row row{file, line, byte, {}};
  for (const std::string_view cell : split(text, '\t')) {
    row.cells.push_back({cell, byte + static_cast<std::uint64_t>(cell.data() - text.data())});
  }
  return row;
}

bool is_idle(std::string_view line) {
  return trim(line).empty() || line.front() == '#';
}

}  // namespace book
}  // namespace keepway
