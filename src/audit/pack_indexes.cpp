#include "audit/pack_indexes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>

#include "audit/verify.hpp"
#include "git/folder.hpp"
#include "git/git.hpp"
#include "git/lock.hpp"
#include "git/sha1.hpp"
#include "git/summed_file.hpp"
#include "keepway/audit.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

using IndexerHandle = std::unique_ptr<git_indexer, Freed<git_indexer_free>>;

}  // namespace

void set_aside(const fs::path& git_folder, const fs::path& file) {
  const fs::path damaged = git_folder / "keepway" / "damaged";
  std::error_code failed;
  fs::create_directories(damaged, failed);
  std::string name = file.lexically_relative(git_folder).string();
  std::replace(name.begin(), name.end(), '/', '-');
  if (::rename(file.c_str(), (damaged / name).c_str()) != 0) {
    if (errno == ENOENT) return;
    fail_disk(errno, "set aside " + file.string());
  }
  sync_folder(file.parent_path());
}

void make_index(const fs::path& git_folder, const fs::path& index) {
  const fs::path pack = fs::path(index).replace_extension(".pack");
  const auto bytes = Folder(pack.parent_path()).read(pack.filename().string());
  if (!bytes) fail_disk(ENOENT, "read " + pack.string());
  const TemporaryFolder passing(git_folder / "keepway" / "index-new");
  const auto indexer =
      take<IndexerHandle>("index a pack", git_indexer_new, passing.path().c_str(), 0U,
                          static_cast<git_odb*>(nullptr), static_cast<git_indexer_options*>(nullptr));
  git_indexer_progress progress{};
  check(git_indexer_append(indexer.get(), bytes->data(), bytes->size(), &progress), "index a pack");
  check(git_indexer_commit(indexer.get(), &progress), "index a pack");
  const fs::path made = passing.path() / fmt::format("pack-{}.idx", git_indexer_name(indexer.get()));
  set_aside(git_folder, index);
  if (::rename(made.c_str(), index.c_str()) != 0) fail_disk(errno, "write " + index.string());
  sync_folder(index.parent_path());
}

bool index_is_whole(std::string_view index, std::string_view pack_sum) {
  if (index.size() <= 2 * checksum_size) return false;
  const std::string_view summed = index.substr(0, index.size() - checksum_size);
  Sha1 sum;
  sum.put(summed);
  return sum.finish() == index.substr(summed.size()) && summed.ends_with(pack_sum);
}

}  // namespace keepway::store

namespace keepway {

std::size_t rebuild_pack_indexes(const std::filesystem::path& folder) {
  namespace fs = std::filesystem;
  store::start_library();
  const fs::path git_folder = folder / ".git";
  std::vector<fs::path> packs;
  std::error_code failed;
  for (fs::directory_iterator at(git_folder / "objects" / "pack", failed), end; !failed && at != end;
       at.increment(failed)) {
    if (at->path().extension() == ".pack") packs.push_back(at->path());
  }
  std::size_t made = 0;
  for (const fs::path& pack : packs) {
    const fs::path index = fs::path(pack).replace_extension(".idx");
    std::string sum;
    if (!store::ends_with_sum(pack, &sum)) continue;
    const auto bytes = store::Folder(index.parent_path()).read(index.filename().string());
    if (bytes && store::index_is_whole(*bytes, sum)) continue;
    const store::Lock lock(git_folder);
    store::make_index(git_folder, index);
    ++made;
  }
  return made;
}

}  // namespace keepway
