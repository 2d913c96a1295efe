#include "shop/past.hpp"

#include <algorithm>
#include <array>
#include <limits>
#include <memory>
#include <unordered_map>

#include "shop/backup_commit.hpp"

namespace keepway {
namespace {

// How many backups back the past is looked at: at one a day, a year and a half.
constexpr int far_enough = 500;

bool is_sound(const Backup& backup) {
  return backup.kept.empty() && is_stood_by(backup);
}

// Of each group, whether any good backup held fewer items than the good one before it.
std::array<bool, 5> shrunk_groups(const store::Repository& repository, const store::Oid& base) {
  std::array<bool, 5> shrunk{};
  std::optional<Backup> newer;
  int seen = 0;
  repository.walk(base, [&](const store::CommitInfo& info) {
    auto backup = backup_from_commit(info);
    if (!backup || !is_sound(*backup)) return true;
    if (newer && backup->at > newer->at) return true;  // it came in before, and was made after
    for (std::size_t i = 0; newer && i < shrunk.size(); ++i)
      shrunk[i] = shrunk[i] || newer->counts.items[i] < backup->counts.items[i];
    newer = std::move(backup);
    return ++seen < far_enough;
  });
  return shrunk;
}

std::int64_t first_time(const store::Repository& repository, const store::Oid& base) {
  std::optional<std::int64_t> first;
  repository.walk(base, [&](const store::CommitInfo& info) {
    if (const auto backup = backup_from_commit(info))
      first = std::min(first.value_or(backup->at), backup->at);
    return true;
  });
  return first.value_or(0);
}

// A file of the set as it would lie in the tree.
OriginalFile original_of(const std::vector<OriginalFile>& originals, const media::File& file) {
  const auto found = std::find_if(originals.begin(), originals.end(), [&](const OriginalFile& each) {
    return each.bytes.data() == file.bytes.data();
  });
  return found == originals.end() ? OriginalFile() : *found;
}

std::optional<Earlier> earlier_of(const store::Repository& repository, const store::Oid& base,
                                  const OriginalFile& file, std::int64_t until) {
  if (file.path.empty()) return std::nullopt;
  const store::Oid wanted = repository.blob_ids({file.bytes}, {file.sum}).front();
  if (!repository.has(wanted)) return std::nullopt;  // most new content was never met
  std::optional<Earlier> found;
  std::optional<store::Oid> newer;
  std::size_t versions = 0;
  int seen = 0;
  repository.walk(base, [&](const store::CommitInfo& info) {
    const auto backup = backup_from_commit(info);
    if (!backup || backup->at > until) return true;
    const auto id = repository.id_at(info.id, file.path);
    if (id == wanted) found = Earlier{backup->number, versions};
    if (id != newer) ++versions;
    newer = id;
    return !found && ++seen < far_enough;
  });
  return found;
}

}  // namespace

Past past_of(const store::Repository& repository, const Inspection& inspection, const store::Oid& base) {
  Past past;
  auto shrunk = std::make_shared<std::optional<std::array<bool, 5>>>();
  past.shrank = [&repository, base, shrunk](Group group) {
    if (!*shrunk) *shrunk = shrunk_groups(repository, base);
    return (**shrunk)[static_cast<std::size_t>(group)];
  };
  past.first = [&repository, tip = inspection.tip] { return first_time(repository, tip); };
  auto originals = std::make_shared<std::optional<std::vector<OriginalFile>>>();
  past.earlier = [&repository, &inspection, base, originals](std::size_t file) {
    if (!*originals) *originals = original_files(inspection.set, inspection.sums.files);
    return earlier_of(repository, base, original_of(**originals, inspection.set.files[file]),
                      inspection.late ? inspection.at : std::numeric_limits<std::int64_t>::max());
  };
  return past;
}

OldFiles old_files_of(const store::Repository& repository, const Inspection& inspection,
                      const store::Oid& base) {
  std::vector<std::string_view> contents;
  std::vector<std::optional<Sha256>> sums(inspection.sums.files.begin(), inspection.sums.files.end());
  for (const media::File& file : inspection.set.files) contents.emplace_back(file.bytes);
  const std::vector<store::Oid> ids = repository.blob_ids(contents, sums);
  std::unordered_map<std::string_view, std::size_t> by_name;
  for (std::size_t i = 0; i < inspection.set.files.size(); ++i)
    by_name.emplace(inspection.set.files[i].name, i);
  OldFiles old;
  std::vector<store::Oid> blobs;
  constexpr std::string_view folder = "originals/";
  for (const store::Blob& blob : repository.list(base, std::string(folder))) {
    std::string empty;
    auto name = original_name(blob.path, &empty);
    if (!name) continue;
    const auto now = by_name.find(*name);
    const bool same = now != by_name.end() && ids[now->second] == blob.id;
    old.list.push_back({std::move(*name), same});
    blobs.push_back(blob.id);
  }
  old.read = [&repository, blobs = std::move(blobs)](std::size_t file) {
    return repository.read(blobs[file]);
  };
  return old;
}

}  // namespace keepway
