#include "shop/baseline.hpp"

#include "base/cache.hpp"
#include "shop/backup.hpp"

namespace keepway {
namespace {

constexpr const char* file_name = "baseline";
constexpr int worth_caching = 16;  // commits; fewer are walked again sooner than a file is written

// What a walk from a tip found: a commit, or that there is none.
struct Known {
  store::Oid tip;
  store::Oid found;
};

std::optional<Known> known_in(const Cache& cache) {
  const auto text = cache.get(file_name);
  const std::size_t end = text ? text->find('\n') : std::string::npos;
  if (end == std::string::npos) return std::nullopt;
  return Known{text->substr(0, end), text->substr(end + 1)};
}

struct Walked {
  std::optional<Backup> found;
  bool to_known = false;
  int commits = 0;
};

Walked walk(const store::Repository& repository, const store::Oid& tip, const auto& is_known) {
  Walked walked;
  repository.walk(tip, [&](const store::CommitInfo& info) {
    auto backup = backup_from_commit(info);
    if (backup && is_stood_by(*backup)) {
      walked.found = std::move(backup);
      return false;
    }
    walked.to_known = is_known(info.id);
    ++walked.commits;
    return !walked.to_known;
  });
  return walked;
}

}  // namespace

std::optional<Backup> find_baseline(const store::Repository& repository, const store::Oid& tip) {
  const Cache cache(repository.git_folder());
  std::optional<std::optional<Known>> known;  // asked for when the newest is not good, which is seldom
  Walked walked = walk(repository, tip, [&](const store::Oid& commit) {
    if (!known) {
      known = known_in(cache);
      if (*known && !(*known)->found.empty() && is_lost(repository, (*known)->found)) known->reset();  // lost
    }
    return *known && (*known)->tip == commit;
  });
  if (walked.to_known && !(*known)->found.empty())
    walked.found = backup_from_commit(repository.info((*known)->found));
  if (walked.commits >= worth_caching)
    cache.put(file_name, tip + '\n' + (walked.found ? walked.found->commit : ""));
  return walked.found;
}

void drop_baseline(const store::Repository& repository) noexcept {
  Cache(repository.git_folder()).drop(file_name);
}

bool baseline_sound(const store::Repository& repository) {
  const Cache cache(repository.git_folder());
  if (!cache.verify(file_name)) return false;
  const auto known = known_in(cache);
  if (!known) return true;
  const auto found = walk(repository, known->tip, [](const store::Oid&) { return false; }).found;
  return known->found == (found ? found->commit : "");
}

}  // namespace keepway
