#include "store/objects.hpp"

#include <git2/sys/odb_backend.h>

#include <atomic>
#include <exception>
#include <mutex>
#include <system_error>
#include <thread>
#include <utility>

#include "store/disk.hpp"
#include "store/pack.hpp"

namespace keepway::store {
namespace {

// Up to this many objects are written loose. Each costs a sync of its own, but a pack a backup would
// have every read look through as many indexes: with 1,500 small backups, a walk that reads from each
// took three times as long (215 ms against 67 ms).
constexpr std::size_t loose_at_most = 8;
constexpr std::size_t worth_a_thread = 16;
// A pack with less in it is written as it is: pressing a day's changes took as long as all else about writing
// them, and packs are soon put in order, which presses what is left of them by then.
constexpr std::size_t worth_pressing = std::size_t{1} << 20U;

}  // namespace

void in_parallel(std::size_t count, const std::function<void(std::size_t)>& work) {
  std::atomic<std::size_t> next{0};
  std::exception_ptr failure;
  std::mutex failure_guard;
  const auto run = [&] {
    try {
      for (std::size_t i = next++; i < count; i = next++) work(i);
    } catch (...) {
      const std::scoped_lock guard(failure_guard);
      if (!failure) failure = std::current_exception();
      next = count;
    }
  };
  {
    std::jthread second;
    if (count >= worth_a_thread) {
      try {
        second = std::jthread(run);
      } catch (const std::system_error&) {
        // No thread to be had: one does all the work.
      }
    }
    run();
  }
  if (failure) std::rethrow_exception(failure);
}

ObjectBatch::ObjectBatch(git_repository& repo, std::filesystem::path git_folder)
    : odb_(take<OdbHandle>("open the objects", git_repository_odb, &repo)),
      git_folder_(std::move(git_folder)) {
  check(git_odb_refresh(odb_.get()), "look through the objects");
}

bool ObjectBatch::is_new(const git_oid& id) {
  // Without refresh: the folder of packs would be read anew for each object that is not there.
  return !ids_.contains(id) && git_odb_exists_ext(odb_.get(), &id, GIT_ODB_LOOKUP_NO_REFRESH) == 0;
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

void ObjectBatch::write() {
  if (pending_.size() <= loose_at_most) {
    for (const Pending& object : pending_) {
      git_oid written{};
      const std::string_view bytes = bytes_of(object);
      check(git_odb_write(&written, odb_.get(), bytes.data(), bytes.size(), object.type), "write an object");
    }
    sync_folder(git_folder_ /
                "objects");  // libgit2 syncs each file and the folder it is in, not a new folder's name
  } else {
    std::vector<PackedObject> packed(pending_.size());
    std::size_t bytes = 0;
    for (const Pending& object : pending_) bytes += bytes_of(object).size();
    const auto pack = [&](std::size_t i) {
      packed[i] = pack_object(pending_[i].id, pending_[i].type, bytes_of(pending_[i]),
                              bytes < worth_pressing ? Press::not_at_all : Press::quickly);
    };
    if (bytes < worth_pressing) {
      for (std::size_t i = 0; i < pending_.size(); ++i) pack(i);
    } else {
      in_parallel(pending_.size(), pack);
    }
    const std::filesystem::path folder = git_folder_ / "objects" / "pack";
    std::error_code trouble;
    if (std::filesystem::create_directory(folder, trouble)) sync_folder(folder.parent_path());
    write_pack(folder, packed);
    check(git_odb_refresh(odb_.get()), "look through the objects");
  }
  pending_.clear();
  ids_.clear();
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
