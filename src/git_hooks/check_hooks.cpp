// What each hook checks.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "git/form.hpp"
#include "git/message.hpp"
#include "git_hooks/check.hpp"
#include "git_hooks/check_commits.hpp"
#include "keepway/hooks.hpp"
#include "shop/backup.hpp"

namespace keepway {
namespace {

constexpr std::string_view zeros = "0000000000000000000000000000000000000000";

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

class PushCheck {
 public:
  explicit PushCheck(const store::RepositoryView& view) : view_(view), commits_(view) {}

  void update(std::string_view old, std::string_view now, const std::string& ref) {
    const bool gone = now == zeros;
    const bool fresh = old == zeros;
    const bool line = ref.starts_with("refs/heads/");
    const bool trial = ref.starts_with("refs/heads/trial/");
    if (!line && !ref.starts_with("refs/tags/") && !ref.starts_with("refs/keepway/archive/")) {
      return refuse(ref, "is not a ref of a machine's repository (branches, marks and the archive are)");
    }
    if (gone) {
      if (!trial) refuse(ref, "must not be deleted");
      return;
    }
    if (const char* harm = fresh ? store::harm_in_ref(ref) : nullptr) return refuse(ref, harm);
    const auto tip = view_.commit_of(std::string(now));
    if (!tip) return refuse(ref, "does not name a commit");
    if (!fresh && !line) return refuse(ref, "must not be moved");
    if (!fresh && !view_.descends(*tip, std::string(old))) {
      return refuse(ref, "would rewrite history: its old tip is not in the new one (fetch, then push again)");
    }
    for (const store::Oid& commit : view_.unknown(*tip)) {
      if (commits_.full()) return;
      commits_.look_at(commit);
      if (view_.info(commit).parents.empty() && !take_root(commit)) {
        return refuse(
            ref, fmt::format("begins a history of its own ({}), with no commit in common with this machine's",
                             commit.substr(0, 10)));
      }
    }
  }

  std::vector<Fault> take_faults() { return commits_.take_faults(); }

 private:
  void refuse(const std::string& where, const std::string& what) { commits_.refuse(where, what); }

  // A machine's history has one beginning, and that comes with the first push.
  bool take_root(const store::Oid& root) {
    if (!root_ && view_.is_fresh()) root_ = root;
    return root_ == root;
  }

  const store::RepositoryView& view_;
  CommitCheck commits_;
  std::optional<store::Oid> root_;
};

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

std::vector<Fault> check_push(std::string_view updates) {
  const store::RepositoryView view = store::RepositoryView::open();
  PushCheck check(view);
  for (const std::string_view line : lines(updates)) {
    const std::size_t first = line.find(' ');
    const std::size_t second = first == std::string_view::npos ? first : line.find(' ', first + 1);
    if (second == std::string_view::npos) {
      throw Error(ErrorKind::usage, "a line of the push is not 'old new ref'",
                  "this command is for Git to call");
    }
    check.update(line.substr(0, first), line.substr(first + 1, second - first - 1),
                 std::string(line.substr(second + 1)));
  }
  return check.take_faults();
}

}  // namespace keepway
