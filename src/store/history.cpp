// Reading what is stored.
#include <fmt/format.h>

#include <algorithm>

#include "git/commit_info.hpp"
#include "git/read_object.hpp"
#include "git/tree.hpp"
#include "store/impl.hpp"
#include "store/worktree.hpp"

namespace keepway::store {
namespace {

std::optional<AtPath> look_up(git_repository& repo, const Oid& commit, const std::string& path) {
  const git_oid id = parse_oid(commit);
  const auto handle = take<CommitHandle>("read a commit", git_commit_lookup, &repo, &id);
  return at_path(repo, *git_commit_tree_id(handle.get()), path);
}

// Along a line, around what is lost; until `visit` returns false.
template <class Visit>
void follow(const Repository& repository, git_repository& repo, const Oid& tip, const Visit& visit) {
  git_oid id = parse_oid(tip);
  while (true) {
    git_commit* raw = nullptr;
    const int code = git_commit_lookup(&raw, &repo, &id);
    const CommitHandle commit(raw);
    if (code != 0) {
      const Oid lost = oid_text(id);
      const auto next = repository.past(lost);
      if (next) {
        id = parse_oid(*next);
        continue;
      }
      if (lost != tip) return;
      (void)repository.info(lost);  // says what is wrong with it
    }
    if (!visit(*commit) || git_commit_parentcount(commit.get()) == 0) return;
    id = *git_commit_parent_id(commit.get(), 0);
  }
}

}  // namespace

std::string_view CommitInfo::trailer(std::string_view name) const {
  const auto found =
      std::find_if(trailers.begin(), trailers.end(), [&](const auto& pair) { return pair.first == name; });
  return found == trailers.end() ? std::string_view() : std::string_view(found->second);
}

std::optional<Oid> Repository::resolve(const std::string& revision) const {
  if (revision.empty() || revision.find('\0') != std::string::npos) return std::nullopt;
  // A mark's ref has '_' where its name has spaces; a space is never part of a plain revision.
  std::string spec = revision;
  if (revision.find_first_of("^~:@") == std::string::npos) std::replace(spec.begin(), spec.end(), ' ', '_');
  git_object* raw = nullptr;
  const int code = git_revparse_single(&raw, impl_->repo.get(), spec.c_str());
  const ObjectHandle object(raw);
  if (code == GIT_EAMBIGUOUS) {
    throw Error(ErrorKind::usage,
                fmt::format("'{}' begins the id of more than one commit", printable(revision)),
                "give more of its digits");
  }
  if (code == GIT_ENOTFOUND || code == GIT_EINVALIDSPEC || code == GIT_EPEEL || code == GIT_EUNBORNBRANCH) {
    return std::nullopt;
  }
  const git_error* last = code < 0 ? git_error_last() : nullptr;
  if (last != nullptr && (last->klass == GIT_ERROR_INVALID || last->klass == GIT_ERROR_REGEX))
    return std::nullopt;
  check(code, "find " + revision);
  git_object* peeled = nullptr;
  if (git_object_peel(&peeled, object.get(), GIT_OBJECT_COMMIT) != 0) return std::nullopt;
  const ObjectHandle commit(peeled);
  return oid_text(*git_object_id(peeled));
}

CommitInfo Repository::info(const Oid& commit) const {
  const git_oid id = parse_oid(commit);
  return info_of(*impl_->repo,
                 *take<CommitHandle>("read the commit " + commit, git_commit_lookup, impl_->repo.get(), &id));
}

void Repository::walk(const Oid& tip, const std::function<bool(const CommitInfo&)>& visit) const {
  follow(*this, *impl_->repo, tip,
         [&](const git_commit& commit) { return visit(info_of(*impl_->repo, commit)); });
}

void Repository::look_through(const Oid& tip, int most) const {
  follow(*this, *impl_->repo, tip, [&](const git_commit& /*commit*/) { return --most > 0; });
}

std::size_t Repository::first_parent_count(const Oid& tip) const {
  std::size_t count = 0;
  walk(tip, [&](const CommitInfo& /*commit*/) { return ++count > 0; });
  return count;
}

std::vector<Blob> Repository::list(const Oid& commit, const std::string& prefix) const {
  const auto root = look_up(*impl_->repo, commit, "");
  std::vector<Blob> out;
  for (TreeEntry& entry : list_files(*impl_->repo, root->id, prefix)) {
    out.push_back({std::move(entry.path), oid_text(entry.id)});
  }
  return out;
}

std::optional<Oid> Repository::id_at(const Oid& commit, const std::string& path) const {
  const auto found = look_up(*impl_->repo, commit, path);
  return found ? std::optional(oid_text(found->id)) : std::nullopt;
}

std::string Repository::read(const Oid& blob) const {
  ReadObject object = read_object(*impl_->repo, parse_oid(blob), "read the object " + blob);
  if (object.type != GIT_OBJECT_BLOB) {
    throw Error(ErrorKind::usage, blob + " is not a file's content", "give the id of a blob");
  }
  return std::move(object.bytes);
}

bool Repository::has(const Oid& object) const {
  const auto odb = take<OdbHandle>("open the objects", git_repository_odb, impl_->repo.get());
  const git_oid id = parse_oid(object);
  return git_odb_exists_ext(odb.get(), &id, GIT_ODB_LOOKUP_NO_REFRESH) != 0;
}

bool Repository::was_added_last(const Sha256& sum) const {
  return impl_->known.holds(impl_->git_folder(), sum);
}

std::vector<Oid> Repository::blob_ids(const std::vector<std::string_view>& contents,
                                      const std::vector<std::optional<Sha256>>& sums) const {
  std::vector<Oid> out;
  out.reserve(contents.size());
  for (const git_oid& id : impl_->known.ids(impl_->git_folder(), contents, sums)) out.push_back(oid_text(id));
  return out;
}

void Repository::hash_ahead(const std::vector<std::string_view>& contents,
                            const std::vector<Sha256>& sums) const {
  impl_->known.hash_ahead(contents, sums);
}

std::optional<std::string> Repository::read_at(const Oid& commit, const std::string& path) const {
  const auto found = look_up(*impl_->repo, commit, path);
  if (!found || found->folder) return std::nullopt;
  return read(oid_text(found->id));
}

Oid Repository::folder_id(const std::vector<TreeFile>& files) const {
  std::vector<git_oid> ids(files.size());
  std::vector<NewFile> entries;
  entries.reserve(files.size());
  for (std::size_t i = 0; i < files.size(); ++i) {
    check(git_odb_hash(&ids[i], files[i].bytes.data(), files[i].bytes.size(), GIT_OBJECT_BLOB),
          "hash a file");
    entries.push_back({files[i].path, ids[i]});
  }
  std::sort(entries.begin(), entries.end(),
            [](const NewFile& a, const NewFile& b) { return a.path < b.path; });
  ObjectBatch unwritten(*impl_->repo, impl_->git_folder());
  return oid_text(merge_tree(*impl_->repo, unwritten, std::nullopt, {}, entries));
}

std::optional<std::string> Repository::working_file(const std::string& path) const {
  if (auto bytes = Folder(impl_->folder).read(path)) return bytes;
  const auto tip = impl_->target("HEAD");
  return tip ? read_at(oid_text(*tip), path) : std::nullopt;
}

}  // namespace keepway::store
