#include "git/walk.hpp"

namespace keepway::store {

std::vector<git_oid> rest_of(git_revwalk& walk) {
  std::vector<git_oid> out;
  git_oid next{};
  int code = 0;
  while ((code = git_revwalk_next(&next, &walk)) == 0) out.push_back(next);
  if (code != GIT_ITEROVER) check(code, "walk the history");
  return out;
}

}  // namespace keepway::store
