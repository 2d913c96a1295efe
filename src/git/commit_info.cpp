#include "git/commit_info.hpp"

#include "git/made_of.hpp"
#include "git/message.hpp"

namespace keepway::store {

CommitInfo info_of(git_repository& repo, const git_commit& commit) {
  CommitInfo out;
  out.id = oid_text(*git_commit_id(&commit));
  out.parents.resize(git_commit_parentcount(&commit));
  for (unsigned i = 0; i < out.parents.size(); ++i)
    out.parents[i] = oid_text(*git_commit_parent_id(&commit, i));
  const char* message = git_commit_message(&commit);
  Message parts = read_message(message == nullptr ? "" : message);
  out.summary = std::move(parts.summary);
  out.body = std::move(parts.body);
  out.trailers = std::move(parts.trailers);
  const git_signature* author = git_commit_author(&commit);
  out.author = author->name;
  out.at = author->when.time;
  out.taken = git_commit_time(&commit);
  out.rewritten = is_rewritten(repo, commit, out);
  return out;
}

}  // namespace keepway::store
