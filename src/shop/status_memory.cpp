#include "shop/status_memory.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <fstream>

#include "shop/backup.hpp"
#include "keepway/small_file.hpp"

namespace keepway {
namespace {

constexpr std::string_view heading = "keepway status 2";
constexpr int worth_remembering = 16;  // commits; fewer are walked again sooner than a file is written

std::filesystem::path file_of(const store::Repository& repository) {
  return repository.folder() / ".git" / "keepway-status";
}

// Binds the lines to each other: a file that was cut off or touched does not count.
std::uint64_t check_sum(std::string_view text) {
  std::uint64_t sum = 0xcbf29ce484222325U;  // FNV-1a, 64 bits
  for (const char c : text) sum = (sum ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
  return sum;
}

std::string write(const StatusMemory& memory) {
  std::string text = fmt::format("{}\n{}\n{}\n{}\n{}\n{}\n", heading, memory.tip, memory.newest, memory.good,
                                 memory.confirming, memory.confirmed);
  return text + fmt::format("{:016x}\n", check_sum(text));
}

bool is_id(std::string_view text, bool may_be_empty) {
  if (text.empty()) return may_be_empty;
  return text.size() == 40 && text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

std::optional<StatusMemory> read(std::string_view text) {
  std::array<std::string_view, 7> lines;
  std::string_view left = text;
  for (std::string_view& line : lines) {
    const std::size_t end = left.find('\n');
    if (end == std::string_view::npos) return std::nullopt;
    line = left.substr(0, end);
    left.remove_prefix(end + 1);
  }
  StatusMemory memory{store::Oid(lines[1]), store::Oid(lines[2]), store::Oid(lines[3]), store::Oid(lines[4]),
                      0};
  std::from_chars(lines[5].data(), lines[5].data() + lines[5].size(), memory.confirmed);
  const bool whole = left.empty() && lines[0] == heading && is_id(memory.tip, false) &&
                     is_id(memory.newest, true) && is_id(memory.good, true) && is_id(memory.confirming, true);
  return whole && write(memory) == text ? std::optional(memory) : std::nullopt;
}

// Not synced: it is derived, and its sum tells a torn one. Aside first, by a name that no other program uses.
void remember(const store::Repository& repository, const StatusMemory& memory) {
  const std::filesystem::path file = file_of(repository);
  const std::filesystem::path aside = fmt::format("{}.{}.new", file.string(), ::getpid());
  std::error_code failed;
  std::ofstream out(aside, std::ios::binary);
  if (out << write(memory) << std::flush) {
    std::filesystem::rename(aside, file, failed);
    if (!failed) return;
  }
  std::filesystem::remove(aside, failed);
}

// `best`: the newest good one so far.
void take(StatusMemory& memory, std::optional<Backup>& best, Backup backup) {
  if (memory.newest.empty()) memory.newest = backup.commit;
  if (backup.confirmed) {
    if (memory.confirming.empty()) memory.confirming = backup.commit;
    ++memory.confirmed;
  }
  const bool good = backup.worth == Worth::good || backup.accepted;
  if (good && (!best || is_newer(backup, *best))) best = std::move(backup);
}

}  // namespace

bool status_memory_sound(const store::Repository& repository) {
  const auto text = read_small_file(file_of(repository));
  return !text || read(*text);
}

void forget_status_memory(const store::Repository& repository) noexcept {
  std::error_code stays;
  std::filesystem::remove(repository.folder() / ".git" / "keepway-status", stays);
}

StatusMemory bring_up_to_date(const store::Repository& repository, const store::Oid& tip) {
  std::optional<StatusMemory> known;
  if (const auto text = read_small_file(file_of(repository))) known = read(*text);
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
    if (!known->good.empty()) {
      auto before = backup_from_commit(repository.info(known->good));
      if (before && (!best || is_newer(*before, *best))) best = std::move(before);
    }
    if (found.confirming.empty()) found.confirming = known->confirming;
    found.confirmed += known->confirmed;
  }
  if (best) found.good = best->commit;
  if (walked >= worth_remembering) remember(repository, found);
  return found;
}

}  // namespace keepway
