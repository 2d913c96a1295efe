// What the hooks of a commit check: its files, and the message of one that amends a backup.
#include <algorithm>

#include "git/message.hpp"
#include "git_hooks/tree_check.hpp"
#include "keepway/hooks.hpp"
#include "shop/backup_commit.hpp"

namespace keepway {
namespace {

std::vector<std::string_view> lines(std::string_view text) {
  std::vector<std::string_view> out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    out.push_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out;
}

bool is_own_trailer(std::string_view line) {
  return line.starts_with("Keepway-") && line.find(':') != std::string_view::npos;
}

// "@1767614400 +0000" or "1767614400 +0000"
bool is_date(std::string_view date, std::int64_t at) {
  if (date.starts_with('@')) date.remove_prefix(1);
  return date.substr(0, date.find(' ')) == std::to_string(at);
}

// The message's own lines end here: what follows is Git's comments, or the diff below the scissors.
std::size_t end_of_own_lines(const std::vector<std::string_view>& all) {
  std::size_t end = all.size();
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (all[i].starts_with("# ------------------------ >8")) {
      end = i;
      break;
    }
  }
  while (end > 0 && (all[end - 1].empty() || all[end - 1].starts_with('#'))) --end;
  return end;
}

// The trailers that keepway gave a backup, as lines of its message.
std::string own_trailer_lines(const store::Trailers& trailers) {
  store::NewCommit commit;
  commit.summary = "any";
  for (const auto& [name, value] : trailers) {
    if (name.starts_with("Keepway-")) commit.trailers.emplace_back(name, value);
  }
  const std::string message = store::write_message(commit);
  return message.substr(message.find("\n\n") + 2);
}

}  // namespace

std::vector<Fault> check_commit() {
  const store::RepositoryView view = store::RepositoryView::open();
  std::vector<store::Oid> ids = view.merge_heads();
  if (const auto head = view.head()) ids.insert(ids.begin(), *head);
  std::vector<Entries> parents;
  parents.reserve(ids.size());
  for (const store::Oid& id : ids) parents.push_back(view.tree(id));
  return TreeCheck(view)(view.index(), parents, ids);
}

std::string check_message(std::string_view text, std::string_view author_name, std::string_view author_date,
                          std::vector<Fault>& faults) {
  std::string as_it_was(text);
  const store::RepositoryView view = store::RepositoryView::open();
  const auto head = view.head();
  if (!head) return as_it_was;
  const store::CommitInfo amended = view.info(*head);
  const bool backup = !amended.trailer("Keepway-Backup").empty();
  if (!backup || author_name != amended.author || !is_date(author_date, amended.at)) return as_it_was;
  if (!same_below(view.index(), view.tree(*head), "originals/")) {
    faults.push_back({{"originals/"}, "differs from what the backup that this commit amends received"});
    return as_it_was;
  }
  const auto all = lines(text);
  const std::size_t end = end_of_own_lines(all);
  std::string out;
  for (std::size_t i = 0; i < end; ++i) {
    if (!is_own_trailer(all[i])) (out += all[i]) += '\n';
  }
  while (out.ends_with("\n\n")) out.pop_back();
  if (store::read_message(out).trailers.empty()) out += '\n';
  out += own_trailer_lines(amended.trailers);
  for (std::size_t i = end; i < all.size(); ++i) (out += all[i]) += '\n';
  return out;
}

}  // namespace keepway
