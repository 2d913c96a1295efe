#include "sync/quarantine.hpp"

#include <fmt/format.h>
#include <git2/sys/odb_backend.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstdio>
#include <memory>
#include <string_view>

#include "git/dead_locks.hpp"
#include "git/form.hpp"
#include "git/pack_stream.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view prefix = "received-";
// Among an object store's backends: the first that can takes a pack.
constexpr int before_all_others = 300;
constexpr int looks_first = 301;

// Takes a pack that comes in, and hands on what may be: libgit2's calls, through which nothing is thrown.
struct Looking {
  git_odb_writepack base{};
  PackStream stream{max_file};
  git_odb_writepack* next = nullptr;

  static int append(git_odb_writepack* self, const void* data, std::size_t size,
                    git_indexer_progress* progress) try {
    auto& own = *reinterpret_cast<Looking*>(self);
    if (const char* fault = own.stream.put({static_cast<const char*>(data), size})) {
      git_error_set_str(GIT_ERROR_INDEXER, fault);
      return GIT_EINVALID;
    }
    return own.next->append(own.next, data, size, progress);
  } catch (...) {
    git_error_set_oom();
    return GIT_ERROR;
  }
  static int commit(git_odb_writepack* self, git_indexer_progress* progress) {
    git_odb_writepack* const next = reinterpret_cast<Looking*>(self)->next;
    return next->commit(next, progress);
  }
  static void release(git_odb_writepack* self) {
    auto* const own = reinterpret_cast<Looking*>(self);
    own->next->free(own->next);
    delete own;  // NOLINT(cppcoreguidelines-owning-memory): libgit2 owned it
  }
};

struct LookingBackend {
  git_odb_backend base{};
  git_odb_backend* packs = nullptr;  // the object store's

  static int write_pack(git_odb_writepack** out, git_odb_backend* self, git_odb* odb,
                        git_indexer_progress_cb progress, void* payload) try {
    git_odb_backend* const packs = reinterpret_cast<LookingBackend*>(self)->packs;
    auto own = std::make_unique<Looking>();
    const int code = packs->writepack(&own->next, packs, odb, progress, payload);
    if (code != 0) return code;
    own->base = {self, Looking::append, Looking::commit, Looking::release};
    *out = &own.release()->base;
    return 0;
  } catch (...) {
    git_error_set_oom();
    return GIT_ERROR;
  }
  static void release(git_odb_backend* self) {
    delete reinterpret_cast<LookingBackend*>(self);  // NOLINT(cppcoreguidelines-owning-memory): as above
  }
};

void look_at_packs(git_odb& odb, git_odb_backend* packs) {
  auto backend = std::make_unique<LookingBackend>();
  check(git_odb_init_backend(&backend->base, GIT_ODB_BACKEND_VERSION), "open the objects");
  backend->packs = packs;
  backend->base.writepack = LookingBackend::write_pack;
  backend->base.free = LookingBackend::release;
  check(git_odb_add_backend(&odb, &backend->base, looks_first), "open the objects");
  (void)backend.release();  // the store's now
}

// Of programs that are no more.
void clear_left(const fs::path& ours) {
  std::error_code failed;
  for (fs::directory_iterator at(ours, failed), end; !failed && at != end; at.increment(failed)) {
    const std::string name = at->path().filename().string();
    if (!name.starts_with(prefix)) continue;
    pid_t pid = 0;
    std::from_chars(name.data() + prefix.size(), name.data() + name.size(), pid);
    std::error_code stays;
    if (has_ended(pid)) fs::remove_all(at->path(), stays);
  }
}

fs::path made_for_us(const fs::path& git_folder) {
  const fs::path ours = git_folder / "keepway";
  clear_left(ours);
  return ours / fmt::format("{}{}", prefix, ::getpid());
}

}  // namespace

Receiving::Receiving(const fs::path& folder, fs::path git_folder)
    : git_folder_(std::move(git_folder)), passing_(made_for_us(git_folder_)), repo_(open_repository(folder)) {
  std::error_code failed;
  fs::create_directory(packs(), failed);
  if (failed) fail_disk(failed.value(), "make a folder in " + passing_.path().string());
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, repo_.get());
  git_odb_backend* packs = nullptr;
  check(git_odb_backend_pack(&packs, passing_.path().c_str()), "open the objects");
  const int code = git_odb_add_backend(odb.get(), packs, before_all_others);
  if (code != 0) packs->free(packs);
  check(code, "open the objects");
  look_at_packs(*odb, packs);
}

void Receiving::keep() {
  const fs::path from = packs();
  const fs::path to = git_folder_ / "objects" / "pack";
  std::error_code failed;
  if (fs::create_directory(to, failed)) sync_folder(to.parent_path());
  for (const auto& entry : fs::directory_iterator(from)) {
    if (entry.path().extension() == ".pack") held_.emplace_back(to / entry.path().stem());
  }
  // A pack is there once its index is.
  for (const char* ending : {".pack", ".idx"}) {
    for (const auto& entry : fs::directory_iterator(from)) {
      if (entry.path().extension() != ending) continue;
      const fs::path target = to / entry.path().filename();
      if (::rename(entry.path().c_str(), target.c_str()) != 0) fail_disk(errno, "keep " + target.string());
    }
  }
  sync_folder(to);
}

}  // namespace keepway::store
