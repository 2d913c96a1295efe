// What differs between two backups, by the files of their states that differ.
#include <algorithm>

#include "keepway/machine.hpp"

namespace keepway {
namespace {

// The files of `blobs` that `others` does not have the same; both in path order. A table that is the same on
// both sides still says that its group is there; a program says nothing.
std::vector<StateFile> differing(const store::Repository& repository, const std::vector<store::Blob>& blobs,
                                 const std::vector<store::Blob>& others) {
  std::vector<StateFile> files;
  auto other = others.begin();
  for (const store::Blob& blob : blobs) {
    while (other != others.end() && other->path < blob.path) ++other;
    const bool same = other != others.end() && other->path == blob.path && other->id == blob.id;
    const bool table = blob.path.ends_with(".tsv");
    if (same && !table) continue;
    files.push_back({blob.path, same ? std::string() : repository.read(blob.id)});
  }
  return files;
}

// Leaves out of two tables' texts the rows that both have, from the first on as long as the keys are the
// same: they need not be taken apart to be found the same.
void leave_out_common(SharedText& before_text, SharedText& after_text) {
  const std::string& before = before_text;
  const std::string& after = after_text;
  const auto row_at = [](std::string_view text, std::size_t at) {
    return text.substr(at, text.find('\n', at) - at + 1);
  };
  const auto key_of = [](std::string_view row) { return row.substr(0, row.find('\t')); };
  std::string was;
  std::string is;
  std::size_t a = 0;
  std::size_t b = 0;
  while (a < before.size() && b < after.size()) {
    const std::string_view old_row = row_at(before, a);
    const std::string_view new_row = row_at(after, b);
    if (old_row != new_row) {
      if (key_of(old_row) != key_of(new_row)) break;
      was += old_row;
      is += new_row;
    }
    a += old_row.size();
    b += new_row.size();
  }
  was.append(before, a);
  is.append(after, b);
  before_text = std::move(was);
  after_text = std::move(is);
}

void leave_out_common(std::vector<StateFile>& before, std::vector<StateFile>& after) {
  auto one = before.begin();
  for (StateFile& other : after) {
    one = std::find_if(one, before.end(), [&](const StateFile& file) { return file.path >= other.path; });
    if (one == before.end()) break;
    if (one->path == other.path && other.path.ends_with(".tsv"))
      leave_out_common(one->content, other.content);
  }
}

}  // namespace

Changes Machine::changes(const store::Oid& from, const store::Oid& to) const {
  if (again(from) != nullptr || again(to) != nullptr) return compare(state(from), state(to));
  try {
    const std::vector<store::Blob> before = repository_.list(from, "state/");
    const std::vector<store::Blob> after = repository_.list(to, "state/");
    std::vector<StateFile> was = differing(repository_, before, after);
    std::vector<StateFile> is = differing(repository_, after, before);
    leave_out_common(was, is);
    return compare(read_state(std::move(was)), read_state(std::move(is)));
  } catch (const Error& lost) {
    if (lost.kind() != ErrorKind::store) throw;
    return compare(state(from), state(to));
  }
}

}  // namespace keepway
