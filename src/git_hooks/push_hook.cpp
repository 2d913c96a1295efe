// What a server's hook checks of a push.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "git/form.hpp"
#include "git_hooks/incoming_check.hpp"
#include "keepway/hooks.hpp"

namespace keepway {
namespace {

constexpr std::string_view zeros = "0000000000000000000000000000000000000000";

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
  IncomingCheck commits_;
  std::optional<store::Oid> root_;
};

}  // namespace

std::vector<Fault> check_push(std::string_view updates) {
  const store::RepositoryView view = store::RepositoryView::open();
  PushCheck check(view);
  while (!updates.empty()) {
    const std::string_view line = updates.substr(0, updates.find('\n'));
    updates.remove_prefix(std::min(line.size() + 1, updates.size()));
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
