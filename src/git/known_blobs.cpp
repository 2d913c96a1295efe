#include "git/known_blobs.hpp"

#include <algorithm>
#include <cstring>

#include "base/cache.hpp"
#include "base/parallel.hpp"
#include "git/git.hpp"

namespace keepway::store {
namespace {

constexpr const char* file_name = "blobs";

git_oid blob_id(std::string_view content) {
  git_oid id{};
  check(git_odb_hash(&id, content.data(), content.size(), GIT_OBJECT_BLOB), "hash a file");
  return id;
}

}  // namespace

std::optional<KnownBlobs::Known> KnownBlobs::parse(std::string_view rows) {
  constexpr std::size_t row = sizeof(Sha256) + GIT_OID_RAWSZ;
  if (rows.size() % row != 0) return std::nullopt;
  Known known;
  for (std::size_t at = 0; at < rows.size(); at += row) {
    Sha256 digest{};
    git_oid id{};
    std::memcpy(digest.data(), rows.data() + at, digest.size());
    std::memcpy(id.id, rows.data() + at + digest.size(), sizeof id.id);
    known.emplace(digest, id);
  }
  return known;
}

KnownBlobs::Known KnownBlobs::load(const std::filesystem::path& git_folder) {
  const auto rows = Cache(git_folder).get(file_name);
  return rows ? parse(*rows).value_or(Known()) : Known();
}

bool KnownBlobs::sound(const std::filesystem::path& git_folder, const Content& content) {
  const Cache cache(git_folder);
  if (!cache.verify(file_name)) return false;
  const auto rows = cache.get(file_name);
  const auto known = rows ? parse(*rows) : Known();
  return known && std::all_of(known->begin(), known->end(), [&](const auto& each) {
           const auto held = content(each.second);
           return !held || sha256(*held) == each.first;
         });
}

void KnownBlobs::drop(const std::filesystem::path& git_folder) noexcept {
  Cache(git_folder).drop(file_name);
}

void KnownBlobs::load_once(const std::filesystem::path& git_folder) {
  const std::scoped_lock lock(guard_);
  if (!loaded_) known_.merge(load(git_folder));
  loaded_ = true;
}

std::optional<git_oid> KnownBlobs::find(const Sha256& sum) {
  const std::scoped_lock lock(guard_);
  const auto found = known_.find(sum);
  return found == known_.end() ? std::nullopt : std::optional(found->second);
}

void KnownBlobs::add(const Sha256& sum, const git_oid& id) {
  const std::scoped_lock lock(guard_);
  new_ones_ = known_.emplace(sum, id).second || new_ones_;
}

bool KnownBlobs::holds(const std::filesystem::path& git_folder, const Sha256& sum) {
  load_once(git_folder);
  return find(sum).has_value();
}

void KnownBlobs::hash_ahead(const std::vector<std::string_view>& contents, const std::vector<Sha256>& sums) {
  for (std::size_t i = 0; i < contents.size(); ++i) {
    if (!find(sums[i])) add(sums[i], blob_id(contents[i]));
  }
}

std::vector<git_oid> KnownBlobs::ids(const std::filesystem::path& git_folder,
                                     const std::vector<std::string_view>& contents,
                                     const std::vector<std::optional<Sha256>>& sums) {
  load_once(git_folder);
  std::vector<Sha256> digests(contents.size());
  std::vector<git_oid> out(contents.size());
  std::vector<std::size_t> to_hash;
  for (std::size_t i = 0; i < contents.size(); ++i) {
    const auto found = i < sums.size() && sums[i] ? find(*sums[i]) : std::nullopt;
    if (found) {
      digests[i] = *sums[i];
      out[i] = *found;
    } else {
      to_hash.push_back(i);
    }
  }
  constexpr std::size_t worth_a_thread = 16;
  in_parallel(to_hash.size(), to_hash.size() >= worth_a_thread, [&](std::size_t n) {
    const std::size_t i = to_hash[n];
    digests[i] = i < sums.size() && sums[i] ? *sums[i] : sha256(contents[i]);
    const auto found = find(digests[i]);
    out[i] = found ? *found : blob_id(contents[i]);
  });
  last_.clear();
  last_.reserve(contents.size());
  for (std::size_t i = 0; i < contents.size(); ++i) {
    add(digests[i], out[i]);
    last_.emplace_back(digests[i], out[i]);
  }
  return out;
}

void KnownBlobs::save(const std::filesystem::path& git_folder) noexcept {
  const std::scoped_lock lock(guard_);
  if (!new_ones_) return;
  try {
    std::string rows;
    for (const auto& [digest, id] : last_) {
      rows.append(reinterpret_cast<const char*>(digest.data()), digest.size());
      rows.append(reinterpret_cast<const char*>(id.id), sizeof id.id);
    }
    Cache(git_folder).put(file_name, rows);
    known_ = Known(last_.begin(), last_.end());
    new_ones_ = false;
  } catch (...) {  // NOLINT(bugprone-empty-catch): the next add() hashes all, then
  }
}

}  // namespace keepway::store
