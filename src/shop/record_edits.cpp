// What people edited of the owner's files and no commit holds yet.
#include <fmt/format.h>

#include "keepway/machine.hpp"
#include "shop/main_line.hpp"

namespace keepway {

Machine::Edits Machine::record_edits(const std::string& by, std::int64_t now) {
  Edits edits;
  const auto head = repository_.tip();
  const auto main = main_tip(repository_);
  if (!head || !main || repository_.line().empty()) return edits;
  std::vector<store::TreeFile> files;
  const auto look = [&](const std::string& path, const std::string& text) {
    const auto stored = repository_.read_at(*head, path);
    if (stored == text) return;
    const auto on_main = *head == *main ? stored : repository_.read_at(*main, path);
    if (on_main == text) return;
    if (on_main != stored) return edits.left.push_back(path);
    files.push_back({path, text});
    edits.recorded.push_back(path);
  };
  look("layout.toml", owner_files_.layout);
  look("machine.toml", owner_files_.machine);
  if (owner_files_.namebook) look("namebook.tsv", *owner_files_.namebook);
  if (files.empty()) return edits;
  store::NewCommit commit;
  commit.summary = fmt::format("Edit {}", fmt::join(edits.recorded, ", "));
  commit.author = by;
  commit.at = commit.taken = now;
  commit.onto = *main;
  repository_.add(main_line(repository_), {}, files, commit);
  return edits;
}

}  // namespace keepway
