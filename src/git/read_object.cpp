#include "git/read_object.hpp"

#include <fmt/format.h>
#include <git2/sys/odb_backend.h>

#include <cstring>
#include <optional>

#include "git/git.hpp"
#include "git/sha1.hpp"

namespace keepway::store {
namespace {

std::optional<ReadObject> find(git_odb& odb, const git_oid& id, const std::string& doing) {
  for (std::size_t i = 0; i < git_odb_num_backends(&odb); ++i) {
    git_odb_backend* backend = nullptr;
    check(git_odb_get_backend(&backend, &odb, i), doing);
    if (backend->read == nullptr) continue;
    void* data = nullptr;
    std::size_t size = 0;
    git_object_t type = GIT_OBJECT_INVALID;
    const int code = backend->read(&data, &size, &type, backend, &id);
    if (code == GIT_ENOTFOUND || code == GIT_PASSTHROUGH) continue;
    check(code, doing);
    ReadObject found{type, {}};
    try {
      found.bytes.assign(static_cast<const char*>(data), size);
    } catch (...) {
      git_odb_backend_data_free(backend, data);
      throw;
    }
    git_odb_backend_data_free(backend, data);
    return found;
  }
  return std::nullopt;
}

}  // namespace

ReadObject read_object(git_repository& repo, const git_oid& id, const std::string& doing) {
  return read_object(*take<OdbHandle>("open the objects", git_repository_odb, &repo), id, doing);
}

ReadObject read_object(git_odb& odb, const git_oid& id, const std::string& doing) {
  auto found = find(odb, id, doing);
  if (!found) {  // packed by another program meanwhile, perhaps
    check(git_odb_refresh(&odb), "look through the objects");
    found = find(odb, id, doing);
  }
  if (!found) {
    throw Error(ErrorKind::store,
                fmt::format("cannot {}: object {} is missing", printable(doing), oid_text(id)), lost_remedy);
  }
  Sha1 sum;
  sum.put(git_object_type2string(found->type));
  sum.put(fmt::format(" {}{}", found->bytes.size(), '\0'));
  sum.put(found->bytes);
  if (std::memcmp(sum.finish().data(), id.id, sizeof id.id) != 0) {
    throw Error(ErrorKind::store,
                fmt::format("cannot {}: object {} is damaged", printable(doing), oid_text(id)), lost_remedy);
  }
  return std::move(*found);
}

}  // namespace keepway::store
