#include <fmt/format.h>

#include <algorithm>

#include "show/text.hpp"

namespace keepway::show {

// One line an item: address, name, value with its unit. A line that is no row stays as it is.
std::string table_with_names(const Namebook& book, Units units, Group group, std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t tab = line.find('\t');
    const auto key = unescape(line.substr(0, std::min(tab, line.size())));
    const auto value = tab == std::string_view::npos ? std::nullopt : unescape(line.substr(tab + 1));
    if (!key || !value) {
      (out += line) += '\n';
      continue;
    }
    const auto entry = book.find(group, *key);
    out += fmt::format("{}\t{}\t{}\n", escape(Address{group, *key}.text()), entry ? escape(entry->name) : "",
                       explain_value(entry, units, *value));
  }
  return out;
}

std::string explained(const Namebook& book, Units units, Group group, const std::string& path,
                      const std::vector<ValueChange>& changes) {
  Grid grid;
  for (const ValueChange& change : changes) {
    const ValueMeaning meaning = explain_change(book, units, group, change.key, change.before, change.after);
    std::string delta = meaning.delta;
    if (!delta.empty() && !meaning.unit.empty()) delta += " " + escape(meaning.unit);
    if (!meaning.other_delta.empty())
      delta += fmt::format(" ({} {})", meaning.other_delta, meaning.other_unit);
    grid.row({escape(meaning.address), escape(meaning.name), change.before ? meaning.before : "(none)", "->",
              change.after ? meaning.after : "(gone)", delta});
    for (const std::string& warning : meaning.warnings) grid.note(Tone::doubtful, "! " + warning);
  }
  return fmt::format("{}\n{}\n", escape(path), grid.text({}));
}

}  // namespace keepway::show
