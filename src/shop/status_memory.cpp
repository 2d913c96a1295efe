#include "shop/status_memory.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>

#include "base/cache.hpp"
#include "shop/backup_commit.hpp"

namespace keepway {
namespace {

constexpr const char* status_name = "status";
constexpr int worth_caching = 16;  // commits; fewer are walked again sooner than a file is written

std::string write(const StatusMemory& memory) {
  return fmt::format("{}\n{}\n{}\n{}\n{}\n{}\n", memory.tip, memory.newest, memory.good, memory.confirming,
                     memory.confirmed, fmt::join(memory.amendments, " "));
}

bool is_id(std::string_view text, bool may_be_empty) {
  if (text.empty()) return may_be_empty;
  return text.size() == 40 && text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

std::optional<StatusMemory> read(std::string_view text) {
  std::array<std::string_view, 6> lines;
  std::string_view left = text;
  for (std::string_view& line : lines) {
    const std::size_t end = left.find('\n');
    if (end == std::string_view::npos) return std::nullopt;
    line = left.substr(0, end);
    left.remove_prefix(end + 1);
  }
  StatusMemory memory{
      store::Oid(lines[0]), store::Oid(lines[1]), store::Oid(lines[2]), store::Oid(lines[3]), 0, {}};
  std::from_chars(lines[4].data(), lines[4].data() + lines[4].size(), memory.confirmed);
  for (std::string_view ids = lines[5]; !ids.empty();) {
    const std::size_t end = std::min(ids.find(' '), ids.size());
    if (!is_id(ids.substr(0, end), false)) return std::nullopt;
    memory.amendments.emplace_back(ids.substr(0, end));
    ids.remove_prefix(std::min(end + 1, ids.size()));
  }
  const bool whole = left.empty() && is_id(memory.tip, false) && is_id(memory.newest, true) &&
                     is_id(memory.good, true) && is_id(memory.confirming, true);
  return whole && write(memory) == text ? std::optional(memory) : std::nullopt;
}

struct Best {
  std::optional<Backup> newest;
  std::optional<Backup> good;
};

void take(StatusMemory& memory, Best& best, const Backup& backup) {
  if (!counts_on_main(backup)) return;
  if (backup.confirmed) {
    if (memory.confirming.empty()) memory.confirming = backup.commit;
    ++memory.confirmed;
  }
  take_newer(best.newest, backup);
  if (is_stood_by(backup)) take_newer(best.good, backup);
}

struct Walked {
  MainLine found;
  int commits = 0;
  bool whole = true;  // no commit was lost on the way
};

// As of `tip`; what is `known` of an earlier tip need not be walked again.
Walked walk_main(const store::Repository& repository, const store::Oid& tip,
                 const std::optional<StatusMemory>& known) {
  Walked out;
  MainLine& found = out.found;
  found.memory.tip = tip;
  Best best;
  int& walked = out.commits;
  bool reached = false;
  const auto visit = [&](const store::CommitInfo& info) {
    // What was remembered of a backup does not hold when something was said since: then all is walked again.
    reached = known && found.amendments.empty() && info.id == known->tip;
    if (reached) return false;
    ++walked;
    if (found.amendments.take(info)) {
      found.memory.amendments.push_back(info.id);
    } else if (auto backup = backup_from_commit(info)) {
      found.amendments.apply(*backup);
      take(found.memory, best, *backup);
    }
    return true;
  };
  try {
    repository.walk(tip, visit);
  } catch (const Error&) {
    if (walked == 0) throw;
    out.whole =
        false;  // a commit is lost: what came after it is all that can be said, and the audit names it
  }
  if (reached) {
    for (const store::Oid& id : known->amendments) {
      if (is_lost(repository, id)) continue;
      found.amendments.take(repository.info(id));
      found.memory.amendments.push_back(id);
    }
    const auto recalled = [&](const store::Oid& id, std::optional<Backup>& newest) {
      auto backup =
          id.empty() || is_lost(repository, id) ? std::nullopt : backup_from_commit(repository.info(id));
      if (!backup) return;
      found.amendments.apply(*backup);
      take_newer(newest, *backup);
    };
    recalled(known->newest, best.newest);
    recalled(known->good, best.good);
    if (found.memory.confirming.empty()) found.memory.confirming = known->confirming;
    found.memory.confirmed += known->confirmed;
  }
  if (best.newest) found.memory.newest = best.newest->commit;
  if (best.good) found.memory.good = best.good->commit;
  found.newest = std::move(best.newest);
  found.good = std::move(best.good);
  return out;
}

std::optional<StatusMemory> cached(const Cache& cache) {
  const auto text = cache.get(status_name);
  return text ? read(*text) : std::nullopt;
}

}  // namespace

bool status_memory_sound(const store::Repository& repository) {
  const Cache cache(repository.git_folder());
  if (!cache.verify(status_name)) return false;
  if (!cache.get(status_name)) return true;
  const auto known = cached(cache);
  if (!known) return false;
  try {
    const Walked walked = walk_main(repository, known->tip, std::nullopt);
    return !walked.whole || write(walked.found.memory) == write(*known);
  } catch (const Error&) {
    return true;  // what it is compared with cannot be read: that is reported by itself
  }
}

void drop_status_memory(const store::Repository& repository) noexcept {
  Cache(repository.git_folder()).drop(status_name);
}

MainLine read_main_line(const store::Repository& repository, const store::Oid& tip, const MainLine* before) {
  const Cache cache(repository.git_folder());
  Walked walked =
      walk_main(repository, tip, before != nullptr ? std::optional(before->memory) : cached(cache));
  if (walked.whole && walked.commits >= worth_caching) cache.put(status_name, write(walked.found.memory));
  return std::move(walked.found);
}

}  // namespace keepway
