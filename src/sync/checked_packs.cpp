#include "sync/checked_packs.hpp"

#include <git2/sys/odb_backend.h>

#include <memory>

#include "git/form.hpp"
#include "git/git.hpp"
#include "git/pack_stream.hpp"

namespace keepway::store {
namespace {

// Among an object store's backends: the first that can takes a pack.
constexpr int before_all_others = 300;
constexpr int check_first = 301;

// Takes a pack that comes in, and hands on what may be: libgit2's calls, through which nothing is thrown.
struct CheckedPackWriter {
  git_odb_writepack base{};
  PackStream stream{max_file};
  git_odb_writepack* next = nullptr;

  static int append(git_odb_writepack* self, const void* data, std::size_t size,
                    git_indexer_progress* progress) try {
    auto& own = *reinterpret_cast<CheckedPackWriter*>(self);
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
    git_odb_writepack* const next = reinterpret_cast<CheckedPackWriter*>(self)->next;
    return next->commit(next, progress);
  }
  static void release(git_odb_writepack* self) {
    auto* const own = reinterpret_cast<CheckedPackWriter*>(self);
    own->next->free(own->next);
    delete own;  // NOLINT(cppcoreguidelines-owning-memory): libgit2 owned it
  }
};

struct CheckedPackBackend {
  git_odb_backend base{};
  git_odb_backend* packs = nullptr;  // the object store's

  static int write_pack(git_odb_writepack** out, git_odb_backend* self, git_odb* odb,
                        git_indexer_progress_cb progress, void* payload) try {
    git_odb_backend* const packs = reinterpret_cast<CheckedPackBackend*>(self)->packs;
    auto own = std::make_unique<CheckedPackWriter>();
    const int code = packs->writepack(&own->next, packs, odb, progress, payload);
    if (code != 0) return code;
    own->base = {self, CheckedPackWriter::append, CheckedPackWriter::commit, CheckedPackWriter::release};
    *out = &own.release()->base;
    return 0;
  } catch (...) {
    git_error_set_oom();
    return GIT_ERROR;
  }
  static void release(git_odb_backend* self) {
    delete reinterpret_cast<CheckedPackBackend*>(self);  // NOLINT(cppcoreguidelines-owning-memory): as above
  }
};

}  // namespace

void check_packs_that_come(git_odb& odb, const std::filesystem::path& objects) {
  git_odb_backend* packs = nullptr;
  check(git_odb_backend_pack(&packs, objects.c_str()), "open the objects");
  const int code = git_odb_add_backend(&odb, packs, before_all_others);
  if (code != 0) packs->free(packs);
  check(code, "open the objects");
  auto backend = std::make_unique<CheckedPackBackend>();
  check(git_odb_init_backend(&backend->base, GIT_ODB_BACKEND_VERSION), "open the objects");
  backend->packs = packs;
  backend->base.writepack = CheckedPackBackend::write_pack;
  backend->base.free = CheckedPackBackend::release;
  check(git_odb_add_backend(&odb, &backend->base, check_first), "open the objects");
  (void)backend.release();  // the store's now
}

}  // namespace keepway::store
