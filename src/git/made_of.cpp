#include "git/made_of.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "git/raw_object.hpp"

namespace keepway::store {
namespace {

std::string id_or_none(const std::optional<git_oid>& id) {
  return id ? oid_text(*id) : "-";
}

// Of the commit's own bytes: where a clone was cut short, libgit2 says that there is no parent.
std::optional<git_oid> first_parent(const git_commit& commit) {
  constexpr std::string_view mark = "\nparent ";
  const std::string_view header = git_commit_raw_header(&commit);
  const std::size_t at = header.find(mark);
  return at == std::string_view::npos ? std::nullopt
                                      : parse_hex(header.substr(at + mark.size(), GIT_OID_HEXSZ));
}

}  // namespace

std::string made_of(const std::optional<git_oid>& parent, std::string_view root) {
  std::optional<git_oid> state;
  std::optional<git_oid> originals;
  for (const RawEntry& entry : parse_tree(root).value_or(std::vector<RawEntry>())) {
    if (entry.name == "state") state = entry.id;
    if (entry.name == "originals") originals = entry.id;
  }
  return fmt::format("{} {} {}", id_or_none(parent), id_or_none(state), id_or_none(originals));
}

void say_made_of(NewCommit& commit, const std::optional<git_oid>& parent, std::string_view root) {
  const auto is = [](const char* name) { return [name](const auto& each) { return each.first == name; }; };
  std::erase_if(commit.trailers, is(made_of_trailer));
  const bool backup = std::any_of(commit.trailers.begin(), commit.trailers.end(), is(backup_trailer));
  if (backup) commit.trailers.emplace_back(made_of_trailer, made_of(parent, root));
}

bool is_rewritten(const CommitInfo& info, const std::optional<git_oid>& parent, std::string_view root) {
  const std::string_view said = info.trailer(made_of_trailer);
  return !said.empty() && !info.trailer(backup_trailer).empty() && said != made_of(parent, root);
}

bool is_rewritten(git_repository& repo, const git_commit& commit, const CommitInfo& info) {
  if (info.trailer(made_of_trailer).empty()) return false;
  git_odb* odb = nullptr;
  if (git_repository_odb(&odb, &repo) != 0) return false;
  const OdbHandle held(odb);
  git_odb_object* raw = nullptr;
  if (git_odb_read(&raw, odb, git_commit_tree_id(&commit)) != 0) return false;
  const OdbObjectHandle tree(raw);
  const std::string_view root(static_cast<const char*>(git_odb_object_data(raw)), git_odb_object_size(raw));
  return is_rewritten(info, first_parent(commit), root);
}

}  // namespace keepway::store
