// The refs of the two sides checked against each other: what is to be fetched, sent and moved.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "git/git.hpp"
#include "sync/exchange.hpp"

namespace keepway::store {

inline constexpr std::string_view trial_prefix = "refs/heads/trial/";
inline constexpr std::string_view marks_prefix = "refs/tags/";
inline constexpr std::string_view archive_prefix = "refs/keepway/archive/";

inline constexpr std::size_t max_refs = 100'000;  // of a remote

using RefMap = std::map<std::string, git_oid>;
std::optional<git_oid> at(const RefMap& refs, const std::string& ref);

// A ref as sync means to move it here; nullopt where it is not, or is not to be.
struct RefMove {
  std::string ref;
  std::optional<git_oid> from;
  std::optional<git_oid> to;
};

// A ref as sync means to have it on the remote; nullopt where it is to go.
struct RefPush {
  std::string ref;
  std::optional<git_oid> to;
};

struct RefPlan {
  std::vector<RefMove> here;
  std::vector<RefPush> push;
};

// Whether sync speaks of a ref at all: the line, trials, marks, archive.
bool is_synced(std::string_view ref);
RefMap local_refs(git_repository& repo);
// Direct refs whose names begin so.
RefMap refs_below(git_repository& repo, std::string_view prefix);
// "mark known_good", "trial warm-up"
std::string ref_title(std::string_view ref);

// Trials, marks and archive refs; the line is not looked at. `last` is where they were on both sides at the
// sync before (by their names here), which tells a trial that was dropped from one that is new. A mark that
// was removed here does not come again, and stays there: a server's hook lets none be deleted. What came,
// went and needs attention goes to `answer`.
RefPlan plan_refs(git_repository& repo, const RefMap& here, const RefMap& there, const RefMap& last,
                  SyncAnswer& answer);

}  // namespace keepway::store
