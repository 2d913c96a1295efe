#include "git_hooks/incoming_check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "git/made_of.hpp"
#include "keepway/originals.hpp"
#include "shop/digest.hpp"
#include "shop/read_again.hpp"

namespace keepway {
namespace {

bool is_number(std::string_view text) {
  constexpr std::size_t most_digits = 9;
  return !text.empty() && text.size() <= most_digits && text.front() != '0' &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

}  // namespace

void IncomingCheck::refuse(const std::string& where, const std::string& what) {
  if (!full()) faults_.push_back({{escape(where)}, what});
}

void IncomingCheck::look_at(const store::Oid& id) {
  if (full() || !checked_.insert(id).second) return;
  const auto harm = view_.harm(id);
  if (harm && harm->path.empty()) return refuse(id.substr(0, 10), harm->what);
  const store::CommitInfo info = view_.info(id);
  const std::string name = fmt::format("{} ({})", id.substr(0, 10), escape(info.summary.substr(0, 60)));
  if (harm) return refuse(name, fmt::format("{}: {}", harm->path, harm->what));
  const Entries now = view_.tree(id);
  std::vector<Entries> parents;
  for (const store::Oid& parent : info.parents) {
    parents.push_back(parent == last_id_ ? last_ : view_.tree(parent));
  }
  const std::size_t before = faults_.size();
  const bool other_reader = !made_by_this_reader(info);
  for (Fault& fault : tree_check_(now, parents, info.parents, other_reader)) {
    const std::string place = fault.place.text();
    refuse(name, fmt::format("{}{}{}", place, place.empty() ? "" : ": ", fault.what));
  }
  if (faults_.size() == before) check_trailers(name, info, now);
  last_id_ = id;
  last_ = now;
}

void IncomingCheck::check_trailers(const std::string& name, const store::CommitInfo& info,
                                   const Entries& now) {
  const std::string_view number = info.trailer(store::backup_trailer);
  if (number.empty()) return;
  const bool merge = number == "none" && !info.trailer("Keepway-Kept").empty();  // of a trial: it takes none
  if (!merge && !is_number(number))
    return refuse(name, fmt::format("'{}' is not the number of a backup (Keepway-Backup)",
                                    escape(number.substr(0, 20))));
  if (digest_.empty() || !same_below(now, digest_of_, "originals/")) {
    digest_ = set_digest(originals_of(view_, now));
    digest_of_ = now;
  }
  if (info.trailer("Keepway-Digest") != digest_)
    return refuse(name, "its Keepway-Digest is not that of its originals");
  if (info.rewritten) {
    refuse(name,
           "rewritten by Git (rebase or cherry-pick): it is not the backup that its Keepway- lines name; put "
           "the branch in order where it was made: keepway hooks MACHINE --in-order");
  }
}

std::vector<Fault> check_commits(const store::RepositoryView& view, const std::vector<store::Oid>& commits,
                                 const std::function<void(std::size_t done, std::size_t total)>& tick) {
  IncomingCheck check(view);
  for (std::size_t i = 0; i < commits.size() && !check.full(); ++i) {
    check.look_at(commits[i]);
    if (tick) tick(i + 1, commits.size());
  }
  return check.take_faults();
}

}  // namespace keepway
