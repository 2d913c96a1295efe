#include "index/index_diff.hpp"

#include <algorithm>
#include <unordered_map>

#include "keepway/state.hpp"

namespace keepway::store {
namespace {

constexpr std::string_view folder = "state/";

bool is_table(std::string_view path) {
  return path.ends_with(".tsv") && path.find('/', folder.size()) == std::string_view::npos;
}

struct Row {
  std::string_view key;
  std::string_view value;
};

// Next line that has a tab; false at the end.
bool next_row(std::string_view& text, Row& row) {
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t tab = line.find('\t');
    if (tab == std::string_view::npos) continue;
    row = {line.substr(0, tab), line.substr(tab + 1)};
    return true;
  }
  return false;
}

// A value that does not read as written counts as none.
std::optional<std::string> sound(std::string_view value) {
  if (value.find('\\') != std::string_view::npos && !unescape(value)) return std::nullopt;
  return std::string(value);
}

using Rows = std::unordered_map<std::string_view, std::string_view>;

Rows rows_of(std::string_view text) {
  Rows rows;
  Row row;
  while (next_row(text, row)) rows.emplace(row.key, row.value);
  return rows;
}

// Two tables in any order.
void compare_any(std::string_view path, std::string_view before, std::string_view after,
                 std::vector<Change>& out) {
  const Rows old_rows = rows_of(before);
  const Rows new_rows = rows_of(after);
  for (const auto& [key, value] : new_rows) {
    const auto was = old_rows.find(key);
    if (was == old_rows.end() || was->second != value) out.push_back({row_name(path, key), sound(value)});
  }
  for (const auto& [key, value] : old_rows) {
    if (!new_rows.contains(key)) out.push_back({row_name(path, key), std::nullopt});
  }
}

// Two tables with the same keys in the same order, as two backups nearly always have: false, with nothing
// reported, when they are not that.
bool compare_same_keys(std::string_view path, std::string_view before, std::string_view after,
                       std::vector<Change>& out) {
  std::vector<Change> found;
  Row was;
  Row is;
  std::string_view last;
  while (true) {
    const bool old_row = next_row(before, was);
    const bool new_row = next_row(after, is);
    if (old_row != new_row) return false;
    if (!old_row) break;
    if (was.key != is.key || (!last.empty() && natural_order(last, is.key) >= 0)) return false;
    last = is.key;
    if (was.value != is.value) found.push_back({row_name(path, is.key), sound(is.value)});
  }
  std::move(found.begin(), found.end(), std::back_inserter(out));
  return true;
}

}  // namespace

std::string row_name(std::string_view path, std::string_view written_key) {
  std::string name("r");  // so that no file can be taken for a row
  name += path.substr(folder.size());
  name += '\t';
  return name += written_key;
}

std::string file_name(std::string_view path) {
  std::string name = "f";
  return name += path.substr(folder.size());
}

Named named(std::string_view name) {
  const bool row = name.starts_with('r');
  const std::size_t tab = row ? name.find('\t') : std::string_view::npos;
  Named found{std::string(folder), std::nullopt};
  found.path += name.substr(1, tab == std::string_view::npos ? tab : tab - 1);
  if (tab != std::string_view::npos) found.written_key = name.substr(tab + 1);
  return found;
}

void compare_rows(std::string_view path, std::string_view before, std::string_view after,
                  std::vector<Change>& out) {
  if (!compare_same_keys(path, before, after, out)) compare_any(path, before, after, out);
}

StateWalk::Seen StateWalk::see(const Oid& commit, const Seen& before) const {
  try {
    return see_stored(commit, before);
  } catch (const Error& error) {
    if (!again_ || error.kind() != ErrorKind::store) throw;
  }
  Seen seen;
  for (StateFile& file : again_(commit)) {
    if (file.path == carried_path) continue;
    seen.files.emplace(file.path, repository_.blob_ids({file.content}).front());
    if (is_table(file.path)) seen.texts.emplace(std::move(file.path), std::move(file.content));
  }
  return seen;
}

StateWalk::Seen StateWalk::see_stored(const Oid& commit, const Seen& before) const {
  Seen seen;
  seen.tree = repository_.id_at(commit, "state");
  if (seen.tree && seen.tree == before.tree) return before;
  for (Blob& blob : repository_.list(commit, std::string(folder))) {
    if (blob.path == carried_path) continue;  // what an intake notes of changes is of items alone
    if (is_table(blob.path)) {
      const auto was = before.files.find(blob.path);
      const bool same = was != before.files.end() && was->second == blob.id;
      seen.texts[blob.path] = same ? before.texts.at(blob.path) : repository_.read(blob.id);
    }
    seen.files.emplace(std::move(blob.path), std::move(blob.id));
  }
  return seen;
}

void StateWalk::begin(const Oid& commit) {
  last_ = see(commit, last_);
}

std::vector<Change> StateWalk::step(const Oid& commit) {
  Seen now = see(commit, last_);
  std::vector<Change> out;
  const auto text_in = [](const Seen& seen, const std::string& path) {
    const auto found = seen.texts.find(path);
    return found == seen.texts.end() ? std::string_view() : std::string_view(found->second);
  };
  for (const auto& [path, id] : now.files) {
    const auto was = last_.files.find(path);
    if (was != last_.files.end() && was->second == id) continue;
    if (is_table(path)) {
      compare_rows(path, text_in(last_, path), text_in(now, path), out);
    } else {
      out.push_back({file_name(path), id});
    }
  }
  for (const auto& [path, id] : last_.files) {
    if (now.files.contains(path)) continue;
    if (is_table(path)) {
      compare_rows(path, text_in(last_, path), {}, out);
    } else {
      out.push_back({file_name(path), std::nullopt});
    }
  }
  std::sort(out.begin(), out.end(), [](const Change& a, const Change& b) { return a.name < b.name; });
  last_ = std::move(now);
  return out;
}

std::vector<Change> changes_between(const Repository& repository, const std::optional<Oid>& before,
                                    const Oid& after, const Index::MadeAgain& again) {
  StateWalk walk(repository, again);
  if (before) walk.begin(*before);
  return walk.step(after);
}

}  // namespace keepway::store
