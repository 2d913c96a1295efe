#include "keepway/namebook.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "namebook/lookup.hpp"
#include "namebook/row.hpp"

namespace keepway {
namespace {

// What the `*` of a pattern stand for in an address that it covers.
std::vector<std::string_view> stood_for(std::string_view pattern, std::string_view address) {
  const auto wanted = book::split(pattern, '/');
  const auto given = book::split(address, '/');
  std::vector<std::string_view> stood;
  for (std::size_t i = 0; i < std::min(wanted.size(), given.size()); ++i) {
    if (wanted[i] == "*") stood.push_back(given[i]);
  }
  return stood;
}

void fill_stars(std::string& text, const std::vector<std::string_view>& stood) {
  std::size_t next = 0;
  for (std::size_t at = text.find('*'); at != std::string::npos && next < stood.size();
       at = text.find('*', at)) {
    text.replace(at, 1, stood[next]);
    at += stood[next++].size();
  }
}

// What a row for one address leaves unsaid is as the pattern says. `number` is what a kind is that nobody
// named.
void complete(Entry& entry, const Entry& pattern) {
  if (entry.name.empty()) entry.name = pattern.name;
  if (entry.unit.empty()) entry.unit = pattern.unit;
  if (entry.kind == Kind::number) entry.kind = pattern.kind;
  if (!entry.min) entry.min = pattern.min;
  if (!entry.max) entry.max = pattern.max;
  if (!entry.step) entry.step = pattern.step;
  if (entry.meanings.empty()) entry.meanings = pattern.meanings;
  if (!entry.living && !entry.own && !entry.power_cycle) {
    entry.living = pattern.living;
    entry.own = pattern.own;
    entry.power_cycle = pattern.power_cycle;
  }
  if (entry.default_value == "0") entry.default_value = pattern.default_value;
  if (entry.caution.empty()) entry.caution = pattern.caution;
}

// A pattern's row for an address that it covers, its `*` filled in.
Entry filled(const Entry& pattern, const std::string& address) {
  Entry entry = pattern;
  entry.address = address;
  const auto stood = stood_for(pattern.address, address);
  fill_stars(entry.name, stood);
  fill_stars(entry.caution, stood);
  return entry;
}

}  // namespace

Namebook Namebook::parse(std::string_view tsv, const std::string& file) {
  std::vector<Entry> entries;
  std::optional<book::Columns> columns;
  std::uint64_t line = 0;
  for (std::size_t at = 0; at < tsv.size();) {
    ++line;
    const std::size_t end = std::min(tsv.find('\n', at), tsv.size());
    std::string_view text = tsv.substr(at, end - at);
    if (!text.empty() && text.back() == '\r') text.remove_suffix(1);
    if (!book::is_idle(text)) {
      const book::Row row = book::tsv_row(text, file, line, at);
      if (!columns) {
        columns = book::read_header(row, "tabs");
      } else {
        entries.push_back(book::read_entry(row, *columns));
      }
    }
    at = end + 1;
  }
  return of(std::move(entries));
}

Namebook Namebook::of(std::vector<Entry> entries) {
  Namebook made;
  made.entries_ = std::move(entries);
  auto lookup = std::make_shared<book::Lookup>();
  for (std::size_t i = 0; i < made.entries_.size(); ++i) lookup->add(made.entries_[i].address, i);
  made.rows_ = made.entries_;
  for (Entry& row : made.rows_) {
    if (row.address.find('*') != std::string::npos) continue;
    const Address address = Address::parse(row.address);
    if (const auto pattern = lookup->find_pattern(address.group, address.key))
      complete(row, filled(made.entries_[*pattern], row.address));
  }
  made.lookup_ = std::move(lookup);
  return made;
}

std::string Namebook::write() const {
  std::string out = fmt::format("{}\n", fmt::join(book::column_names, "\t"));
  for (const Entry& entry : entries_) out += fmt::format("{}\n", fmt::join(book::cells_of(entry), "\t"));
  return out;
}

const Entry* Namebook::row(Group group, std::string_view key) const {
  const auto place = lookup_ ? lookup_->find(group, key) : std::nullopt;
  return place ? &rows_[*place] : nullptr;
}

std::optional<Entry> Namebook::find(Group group, std::string_view key) const {
  const Entry* typed = row(group, key);
  if (typed == nullptr) return std::nullopt;
  return filled(*typed, Address{group, std::string(key)}.text());
}

std::string Namebook::name(Group group, std::string_view key) const {
  const auto entry = find(group, key);
  return entry && !entry->name.empty() ? entry->name : Address{group, std::string(key)}.text();
}

}  // namespace keepway
