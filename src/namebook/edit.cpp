// Editing namebook.tsv in place: the owner's comments, order and columns stay.
#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "namebook/row.hpp"

namespace keepway {
namespace {

struct Line {
  std::string text;  // without its end
  std::string end;   // as it is: "\n", "\r\n", or nothing for a last line
};

struct Lines {
  std::vector<Line> lines;
  std::size_t header = std::string::npos;
  book::Columns columns{};
  std::size_t width = 0;                             // columns of the header
  std::unordered_map<std::string, std::size_t> row;  // address -> its first line, the one that counts
  std::vector<std::optional<Entry>> entries;         // by line
  std::string line_end = "\n";
};

Lines read(std::string_view tsv, const std::string& file) {
  Lines out;
  std::uint64_t number = 0;
  for (std::size_t at = 0; at < tsv.size();) {
    ++number;
    const std::size_t end = std::min(tsv.find('\n', at), tsv.size());
    std::size_t stop = end;
    if (stop > at && tsv[stop - 1] == '\r') --stop;
    const std::string_view text = tsv.substr(at, stop - at);
    const std::size_t next = std::min(end + 1, tsv.size());
    out.lines.push_back({std::string(text), std::string(tsv.substr(stop, next - stop))});
    out.entries.emplace_back();
    if (!book::is_idle(text)) {
      const book::Row row = book::tsv_row(text, file, number, at);
      if (out.header == std::string::npos) {
        out.header = out.lines.size() - 1;
        out.columns = book::read_header(row, "tabs");
        out.width = row.cells.size();
        if (out.lines.back().end == "\r\n") out.line_end = "\r\n";
      } else {
        out.entries.back() = book::read_entry(row, out.columns);
        out.row.emplace(out.entries.back()->address, out.lines.size() - 1);
      }
    }
    at = next;
  }
  return out;
}

std::string write(const Lines& lines) {
  std::string out;
  for (const Line& line : lines.lines) (out += line.text) += line.end;
  return out;
}

void append(Lines& lines, std::string text) {
  if (!lines.lines.empty() && lines.lines.back().end.empty()) lines.lines.back().end = lines.line_end;
  lines.lines.push_back({std::move(text), lines.line_end});
}

}  // namespace

std::string set_entries(std::string_view tsv, const std::string& file, const std::vector<Entry>& entries) {
  Lines lines = read(tsv, file);
  if (lines.header == std::string::npos) {
    append(lines, fmt::format("{}", fmt::join(book::column_names, "\t")));
    lines.header = lines.lines.size() - 1;
    lines.entries.emplace_back();
    for (std::size_t i = 0; i < lines.columns.size(); ++i) lines.columns[i] = i;
    lines.width = lines.columns.size();
  }
  for (const Entry& entry : entries) {
    const auto cells = book::cells_of(entry);
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (cells[i].find_first_of("\t\r\n") == std::string::npos) continue;
      throw Error(
          ErrorKind::input,
          fmt::format("the {} of {} holds a tab or a line end", book::column_names[i], escape(entry.address)),
          "a namebook has one line for each item: leave them out");
    }
    const auto known = lines.row.find(entry.address);
    if (known != lines.row.end() && book::cells_of(*lines.entries[known->second]) == cells) continue;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const bool says_nothing = cells[i].empty() || (i == book::kind && entry.kind == Kind::number);
      if (says_nothing || lines.columns[i] != std::string::npos) continue;
      lines.lines[lines.header].text += fmt::format("\t{}", book::column_names[i]);
      lines.columns[i] = lines.width++;
    }
    std::vector<std::string_view> row(lines.width);
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (lines.columns[i] != std::string::npos) row[lines.columns[i]] = cells[i];
    }
    std::string text = fmt::format("{}", fmt::join(row, "\t"));
    if (known != lines.row.end()) {
      lines.lines[known->second].text = std::move(text);
      lines.entries[known->second] = entry;
    } else {
      append(lines, std::move(text));
      lines.entries.push_back(entry);
      lines.row.emplace(entry.address, lines.lines.size() - 1);
    }
  }
  std::string out = write(lines);
  // A cell that reads as something else where it is, such as a first one that begins with '#'.
  const Lines again = read(out, file);
  for (const Entry& entry : entries) {
    const auto found = again.row.find(entry.address);
    if (found == again.row.end() || book::cells_of(*again.entries[found->second]) != book::cells_of(entry)) {
      throw Error(ErrorKind::input,
                  fmt::format("the entry of {} cannot be written in a form that can be read back",
                              escape(entry.address)),
                  "begin no cell with '#' or a blank, and use no ';' or '=' in a meaning");
    }
  }
  return out;
}

std::optional<std::string> remove_entry(std::string_view tsv, const std::string& file,
                                        const std::string& address) {
  Lines lines = read(tsv, file);
  if (!lines.row.contains(address)) return std::nullopt;
  std::string out;
  for (std::size_t i = 0; i < lines.lines.size(); ++i) {
    if (lines.entries[i] && lines.entries[i]->address == address) continue;
    (out += lines.lines[i].text) += lines.lines[i].end;
  }
  return out;
}

}  // namespace keepway
