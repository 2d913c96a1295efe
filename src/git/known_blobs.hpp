// Ids of blobs by the SHA-256 of their content, cached from the last add().
//
// Motivation: from one backup to the next nearly all files stay as they are. Git's SHA-1 that detects
// collisions takes some five times as long as SHA-256 does on processors made for it, so it is only
// asked about content not seen before. Derived: a file of the cache (base/cache.hpp); without it all is
// hashed.
#pragma once

#include <git2.h>

#include <filesystem>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "keepway/sha256.hpp"

namespace keepway::store {

class KnownBlobs {
 public:
  // Ids of the contents, in their order; on two threads. `sums`: their SHA-256 where it is known, or empty.
  std::vector<git_oid> ids(const std::filesystem::path& git_folder,
                           const std::vector<std::string_view>& contents,
                           const std::vector<std::optional<Sha256>>& sums = {});
  // For contents that will be asked for soon, while another thread asks for others: ids() will know them.
  void hash_ahead(const std::vector<std::string_view>& contents, const std::vector<Sha256>& sums);
  // Whether a content of that sum is known.
  bool holds(const std::filesystem::path& git_folder, const Sha256& sum);
  // Caches those of the last ids(), if there was anything new. Never fails.
  void save(const std::filesystem::path& git_folder) noexcept;

  // Whether what is cached is whole and true: `content` gives an object's bytes, or nothing for one that
  // is not there to compare with. True when there is nothing.
  using Content = std::function<std::optional<std::string>(const git_oid&)>;
  static bool sound(const std::filesystem::path& git_folder, const Content& content);
  static void drop(const std::filesystem::path& git_folder) noexcept;

 private:
  struct Hash {
    std::size_t operator()(const Sha256& sum) const {
      return std::hash<std::string_view>()({reinterpret_cast<const char*>(sum.data()), sum.size()});
    }
  };
  using Known = std::unordered_map<Sha256, git_oid, Hash>;
  static std::optional<Known> parse(std::string_view rows);
  static Known load(const std::filesystem::path& git_folder);
  void load_once(const std::filesystem::path& git_folder);
  // The id of a content of that sum, where it is known.
  std::optional<git_oid> find(const Sha256& sum);
  void add(const Sha256& sum, const git_oid& id);

  std::mutex guard_;  // of these three
  bool loaded_ = false;
  bool new_ones_ = false;
  Known known_;  // after a pile, all that came in it

  std::vector<std::pair<Sha256, git_oid>> last_;
};

}  // namespace keepway::store
