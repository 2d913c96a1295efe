#include "keepway/namebook.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "namebook/row.hpp"

namespace keepway {
namespace {

// Holds an address against a pattern whose `*` stand for one part each. Fills what they stood for.
bool matches(std::string_view pattern, std::string_view text, std::vector<std::string>& stood) {
  const auto wanted = book::split(pattern, '/');
  const auto given = book::split(text, '/');
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
  for (std::size_t i = 0; i < made.entries_.size(); ++i) {
    const bool pattern = made.entries_[i].address.find('*') != std::string::npos;
    (pattern ? made.patterns_ : made.exact_).push_back(i);
  }
  std::stable_sort(made.exact_.begin(), made.exact_.end(), [&](std::size_t a, std::size_t b) {
    return made.entries_[a].address < made.entries_[b].address;
  });
  return made;
}

std::string Namebook::write() const {
  std::string out = fmt::format("{}\n", fmt::join(book::column_names, "\t"));
  for (const Entry& entry : entries_) out += fmt::format("{}\n", fmt::join(book::cells_of(entry), "\t"));
  return out;
}

std::optional<Entry> Namebook::find(Group group, std::string_view key) const {
  if (entries_.empty()) return std::nullopt;
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
