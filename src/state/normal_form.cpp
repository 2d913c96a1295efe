
#include <algorithm>

#include "base/digit.hpp"
#include "keepway/sha256.hpp"
#include "keepway/state.hpp"

namespace keepway {
namespace {

constexpr std::string_view programs_folder = "state/programs/";
constexpr std::size_t padded_digits = 5;  // O01234.nc: file lists sort as numbers do

[[noreturn]] void broken(std::string_view file, std::uint64_t line, std::uint64_t byte,
                         const std::string& what) {
  throw Error(ErrorKind::input, what, "state files are written only by keepway: undo the edit by hand",
              Place{std::string(file), line, byte});
}

}  // namespace

std::string unread_key(std::string_view text) {
  return std::string(unread_prefix) + sha256_hex(text).substr(0, 16);
}

std::string write_table(const Table& table) {
  std::size_t size = 0;
  for (const Item& item : table) size += item.key.size() + item.value.size() + 2;
  std::string out;
  out.reserve(size);
  for (const Item& item : table) {
    append_escaped(item.key, out);
    out += '\t';
    append_escaped(item.value, out);
    out += '\n';
  }
  return out;
}

Table read_table(std::string_view text, std::string_view file) {
  Table table;
  table.reserve(static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')));
  std::uint64_t line = 0;
  for (std::size_t at = 0; at < text.size();) {
    ++line;
    const std::size_t end = text.find('\n', at);
    if (end == std::string_view::npos) broken(file, line, at, "last row has no line end");
    const std::string_view row = text.substr(at, end - at);
    const std::size_t tab = row.find('\t');
    if (tab == std::string_view::npos) broken(file, line, at, "row has no tab between key and value");
    auto key = unescape(row.substr(0, tab));
    auto value = unescape(row.substr(tab + 1));
    if (!key || key->empty() || escape(*key) != row.substr(0, tab))
      broken(file, line, at, "key is not in normal form");
    if (!value || escape(*value) != row.substr(tab + 1)) {
      broken(file, line, at + tab + 1, "value is not in normal form");
    }
    if (!table.empty() && natural_order(table.back().key, *key) >= 0) {
      broken(file, line, at, "row is out of order, or its key was given before");
    }
    table.push_back({std::move(*key), std::move(*value)});
    at = end + 1;
  }
  return table;
}

std::string table_path(Group group) {
  return "state/" + std::string(group_name(group)) + ".tsv";
}

std::string program_path(std::string_view name) {
  std::string path(programs_folder);
  // Only a number as program_name() writes it: with more zeros in front it would not read back.
  if (name.size() > 1 && name[0] == 'O' && all_digits(name.substr(1)) &&
      program_name(name.substr(1)) == name) {
    path += 'O';
    const std::string_view digits = name.substr(1);
    if (digits.size() < padded_digits) path.append(padded_digits - digits.size(), '0');
    (path += digits) += ".nc";
  } else {
    path += safe_path(name);
    // A file that is itself called like a numbered program must not be in its place.
    if (const auto taken = program_name_from_path(path); taken && *taken != name) path += '%';
  }
  return path;
}

std::optional<std::string> program_name_from_path(std::string_view path) {
  if (!path.starts_with(programs_folder)) return std::nullopt;
  path.remove_prefix(programs_folder.size());
  if (path.size() >= 1 + padded_digits + 3 && path[0] == 'O' && path.ends_with(".nc")) {
    const std::string_view digits = path.substr(1, path.size() - 4);
    if (all_digits(digits)) return program_name(digits);
  }
  if (path.ends_with('%')) path.remove_suffix(1);
  return received_name(path);
}

std::vector<StateFile> write_state(const State& state) {
  std::vector<StateFile> files;
  for (const Group group : all_groups) {
    if (const auto& table = state.table(group)) files.push_back({table_path(group), write_table(*table)});
  }
  for (const Program& program : state.programs) files.push_back({program_path(program.name), program.text});
  std::sort(files.begin(), files.end(),
            [](const StateFile& a, const StateFile& b) { return a.path < b.path; });
  return files;
}

State read_state(std::vector<StateFile> files) {
  State state;
  for (StateFile& file : files) {
    if (auto name = program_name_from_path(file.path)) {
      state.programs.push_back({std::move(*name), std::move(file.content)});
      continue;
    }
    for (const Group group : all_groups) {
      if (file.path == table_path(group)) state.table(group) = read_table(file.content, file.path);
    }
  }
  std::sort(state.programs.begin(), state.programs.end(),
            [](const Program& a, const Program& b) { return natural_order(a.name, b.name) < 0; });
  return state;
}

}  // namespace keepway
