#include "shop/status_memory.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>

#include "base/cache.hpp"
#include "shop/backup.hpp"

namespace keepway {
namespace {

constexpr const char* file_name = "status";
constexpr int worth_caching = 16;  // commits; fewer are walked again sooner than a file is written

std::string write(const StatusMemory& memory) {
  return fmt::format("{}\n{}\n{}\n{}\n{}\n", memory.tip, memory.newest, memory.good, memory.confirming,
                     memory.confirmed);
}

bool is_id(std::string_view text, bool may_be_empty) {
  if (text.empty()) return may_be_empty;
  return text.size() == 40 && text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

std::optional<StatusMemory> read(std::string_view text) {
  std::array<std::string_view, 5> lines;
  std::string_view left = text;
  for (std::string_view& line : lines) {
    const std::size_t end = left.find('\n');
    if (end == std::string_view::npos) return std::nullopt;
    line = left.substr(0, end);
    left.remove_prefix(end + 1);
  }
  StatusMemory memory{store::Oid(lines[0]), store::Oid(lines[1]), store::Oid(lines[2]), store::Oid(lines[3]),
                      0};
  std::from_chars(lines[4].data(), lines[4].data() + lines[4].size(), memory.confirmed);
  const bool whole = left.empty() && is_id(memory.tip, false) && is_id(memory.newest, true) &&
                     is_id(memory.good, true) && is_id(memory.confirming, true);
  return whole && write(memory) == text ? std::optional(memory) : std::nullopt;
}

// `best`: the newest good one so far.
void take(StatusMemory& memory, std::optional<Backup>& best, Backup backup) {
  if (memory.newest.empty()) memory.newest = backup.commit;
  if (backup.confirmed) {
    if (memory.confirming.empty()) memory.confirming = backup.commit;
    ++memory.confirmed;
  }
  if (is_stood_by(backup) && (!best || is_newer(backup, *best))) best = std::move(backup);
}

}  // namespace

bool status_memory_sound(const store::Repository& repository) {
  const Cache cache(repository.git_folder());
  const auto text = cache.get(file_name);
  return cache.verify(file_name) && (!text || read(*text));
}

void drop_status_memory(const store::Repository& repository) noexcept {
  Cache(repository.git_folder()).drop(file_name);
}

StatusMemory bring_up_to_date(const store::Repository& repository, const store::Oid& tip) {
  std::optional<StatusMemory> known;
  const Cache cache(repository.git_folder());
  if (const auto text = cache.get(file_name)) known = read(*text);
  if (known && known->tip == tip) return *known;
  StatusMemory found;
  found.tip = tip;
  std::optional<Backup> best;
  bool reached = false;
  int walked = 0;
  repository.walk(tip, [&](const store::CommitInfo& info) {
    reached = known && info.id == known->tip;
    if (reached) return false;
    ++walked;
    if (auto backup = backup_from_commit(info)) take(found, best, std::move(*backup));
    return true;
  });
  if (reached) {
    if (found.newest.empty()) found.newest = known->newest;
    if (!known->good.empty() && !is_lost(repository, known->good)) {
      auto before = backup_from_commit(repository.info(known->good));
      if (before && (!best || is_newer(*before, *best))) best = std::move(before);
    }
    if (found.confirming.empty()) found.confirming = known->confirming;
    found.confirmed += known->confirmed;
  }
  if (best) found.good = best->commit;
  if (walked >= worth_caching) cache.put(file_name, write(found));
  return found;
}

}  // namespace keepway
