#include "git/followed_packs.hpp"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <string_view>
#include <system_error>
#include <utility>

namespace keepway::store {
namespace {

constexpr const char* cached_as = "followed-packs";

// Empty for what is no plain file.
std::string identity(const std::filesystem::path& file) {
  struct stat found {};
  if (::lstat(file.c_str(), &found) != 0 || !S_ISREG(found.st_mode)) return {};
  return fmt::format("{}:{}:{}:{}.{:09}", found.st_dev, found.st_ino, found.st_size, found.st_ctim.tv_sec,
                     found.st_ctim.tv_nsec);
}

// Empty where either is no plain file.
std::string identity(const std::filesystem::path& index, const std::filesystem::path& pack) {
  const std::string one = identity(index);
  const std::string other = identity(pack);
  return one.empty() || other.empty() ? std::string() : one + " " + other;
}

}  // namespace

FollowedPacks::FollowedPacks(const std::filesystem::path& git_folder) : cache_(git_folder) {
  std::error_code absent;
  is_ours_ = std::filesystem::is_directory(git_folder / "keepway", absent);
  const std::string text = cache_.get(cached_as).value_or("");
  for (std::string_view rest = text; !rest.empty();) {
    const std::size_t end = std::min(rest.find('\n'), rest.size());
    known_.emplace(rest.substr(0, end));
    rest.remove_prefix(std::min(end + 1, rest.size()));
  }
}

bool FollowedPacks::knows(const std::filesystem::path& index, const std::filesystem::path& pack) {
  const std::string both = identity(index, pack);
  if (both.empty() || !known_.contains(both)) return false;
  asked_for_.insert(both);
  return true;
}

void FollowedPacks::note(const std::filesystem::path& index, const std::filesystem::path& pack) {
  if (std::string both = identity(index, pack); !both.empty()) asked_for_.insert(std::move(both));
}

void FollowedPacks::save() const {
  if (!is_ours_ || asked_for_ == known_ || !cache_.verify(cached_as)) return;
  std::string text;
  for (const std::string& each : asked_for_) text += each + "\n";
  cache_.put(cached_as, text);
}

bool FollowedPacks::sound(const std::filesystem::path& git_folder) {
  return Cache(git_folder).verify(cached_as);
}

void FollowedPacks::drop(const std::filesystem::path& git_folder) {
  Cache(git_folder).drop(cached_as);
}

}  // namespace keepway::store
