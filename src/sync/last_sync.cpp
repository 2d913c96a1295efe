#include "sync/last_sync.hpp"

#include <fmt/format.h>

#include "base/password.hpp"
#include "keepway/sha256.hpp"

namespace keepway::store {
namespace {

constexpr std::string_view all_refs = "refs/";
constexpr std::size_t digits = 16;  // of the address's digest

}  // namespace

LastSync::LastSync(git_repository& repo, const std::string& url)
    : repo_(&repo),
      prefix_(
          fmt::format("refs/keepway/last-sync/{}/", sha256_hex(without_passwords(url)).substr(0, digits))) {}

RefMap LastSync::refs() const {
  RefMap out;
  for (const auto& [ref, id] : refs_below(*repo_, prefix_))
    out[std::string(all_refs) + ref.substr(prefix_.size())] = id;
  return out;
}

void LastSync::set(const RefMap& there, const RefMap& here) const {
  // What goes, goes first: it may be named as a folder of what comes.
  for (const auto& [ref, id] : refs()) {
    if (there.contains(ref)) continue;
    const std::string own = prefix_ + ref.substr(all_refs.size());
    const auto gone = take<RefHandle>("find " + own, git_reference_lookup, repo_, own.c_str());
    check(git_reference_delete(gone.get()), "remove " + own);
  }
  const RefMap before = refs();
  for (const auto& [ref, id] : there) {
    if (ref.starts_with(archive_prefix)) continue;
    const auto ours = at(here, ref);
    const auto held = at(before, ref);
    if (!ours || !same(*ours, id) || (held && same(*held, id))) continue;
    const std::string own = prefix_ + ref.substr(all_refs.size());
    take<RefHandle>("set " + own, git_reference_create, repo_, own.c_str(), &id, 1,
                    static_cast<const char*>(nullptr));
    (void)git_reflog_delete(repo_, own.c_str());  // libgit2 begins one half-way; nobody asks for it
  }
}

}  // namespace keepway::store
