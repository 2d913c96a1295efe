#include "git/objects.hpp"

#include <git2/sys/odb_backend.h>

#include <algorithm>
#include <utility>

#include "base/parallel.hpp"
#include "git/folder.hpp"
#include "git/pack.hpp"

namespace keepway::store {
namespace {

// A pack with less in it is written as it is: compressing a day's changes took as long as all else about
// writing them, and a quarter of a machine's first backup. Packs are soon put in order, which presses what is
// left of them by then.
constexpr std::size_t worth_compressing = std::size_t{32} << 20U;
// One object of that size is compressed even so: it fills a small disk, and a day's changes have none.
constexpr std::size_t worth_compressing_alone = std::size_t{1} << 20U;

}  // namespace

ObjectBatch::ObjectBatch(git_repository& repo, std::filesystem::path git_folder)
    : odb_(take<OdbHandle>("open the objects", git_repository_odb, &repo)),
      git_folder_(std::move(git_folder)) {
  check(git_odb_refresh(odb_.get()), "look through the objects");
}

// Without refresh: the folder of packs would be read again for each object that is not there.
bool ObjectBatch::is_there(const git_oid& id) const {
  return git_odb_exists_ext(odb_.get(), &id, GIT_ODB_LOOKUP_NO_REFRESH) != 0;
}

bool ObjectBatch::is_new(const git_oid& id) {
  if (ids_.contains(id)) return false;
  return held_ ? !held_(id) : !is_there(id);
}

void ObjectBatch::add_blob(const git_oid& id, std::string_view content) {
  if (!is_new(id)) return;
  ids_.insert(id);
  pending_.push_back({id, GIT_OBJECT_BLOB, content, {}});
}

git_oid ObjectBatch::add(git_object_t type, std::string content) {
  git_oid id{};
  check(git_odb_hash(&id, content.data(), content.size(), type), "hash an object");
  if (!is_new(id)) return id;
  ids_.insert(id);
  pending_.push_back({id, type, {}, std::move(content)});
  return id;
}

std::string ObjectBatch::bytes(const git_oid& tree) const {
  const auto added = std::find_if(pending_.begin(), pending_.end(), [&](const Pending& object) {
    return git_oid_equal(&object.id, &tree) != 0;
  });
  if (added != pending_.end()) return std::string(bytes_of(*added));
  const auto stored = take<OdbObjectHandle>("read a tree", git_odb_read, odb_.get(), &tree);
  return {static_cast<const char*>(git_odb_object_data(stored.get())), git_odb_object_size(stored.get())};
}

PackHold ObjectBatch::write_packed(const std::filesystem::path& folder, const OnProgress& on_progress) {
  std::size_t bytes = 0;
  for (const Pending& object : pending_) bytes += bytes_of(object).size();
  const Compression compression = bytes < worth_compressing ? Compression::none : Compression::fast;
  PackWriter writer(folder, pending_.size());
  // Some at a time, so that they need not all be in memory once more.
  constexpr std::size_t at_a_time = 128;
  std::vector<PackedObject> packed(at_a_time);
  for (std::size_t first = 0; first < pending_.size(); first += at_a_time) {
    const std::size_t count = std::min(at_a_time, pending_.size() - first);
    if (on_progress) on_progress("objects stored", first, pending_.size());
    in_parallel(count, compression != Compression::none, [&](std::size_t i) {
      const Pending& object = pending_[first + i];
      const std::string_view content = bytes_of(object);
      packed[i] = pack_object(object.id, object.type, content,
                              content.size() < worth_compressing_alone ? compression : Compression::fast);
    });
    for (std::size_t i = 0; i < count; ++i) writer.add(packed[i]);
  }
  PackHold hold;
  writer.finish(&hold);
  return hold;
}

PackHold ObjectBatch::write(const OnProgress& on_progress) {
  if (pending_.empty()) return {};
  const std::filesystem::path folder = git_folder_ / "objects" / "pack";
  std::error_code trouble;
  if (std::filesystem::create_directory(folder, trouble)) sync_folder(folder.parent_path());
  PackHold hold = write_packed(folder, on_progress);
  check(git_odb_refresh(odb_.get()), "look through the objects");
  pending_.clear();
  ids_.clear();
  return hold;
}

std::vector<git_oid> ObjectBatch::keep_in(git_odb_backend& memory, std::size_t& bytes) {
  std::vector<git_oid> kept;
  kept.reserve(pending_.size());
  for (const Pending& object : pending_) {
    const std::string_view content = bytes_of(object);
    check(memory.write(&memory, &object.id, content.data(), content.size(), object.type), "keep an object");
    kept.push_back(object.id);
    bytes += content.size();
  }
  pending_.clear();
  ids_.clear();
  return kept;
}

}  // namespace keepway::store
