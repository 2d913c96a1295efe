// A commit to store on top of: it and each folder in it must be there.
#include <fmt/format.h>

#include "git/lost_folder.hpp"
#include "store/impl.hpp"

namespace keepway::store {

void Repository::require_folders(const Oid& tip) const {
  impl_->require_folders(parse_oid(tip));
}

void Repository::Impl::require_folders(const git_oid& tip) const {
  const auto lost = lost_folder(*repo, tip);
  if (!lost) return;
  const std::string machine = escape(folder.filename().string());
  throw Error(
      ErrorKind::refused,
      fmt::format("the newest commit of {}, {}, {}: nothing can be stored on top of it", machine,
                  oid_text(tip).substr(0, 10), *lost),
      fmt::format("what is stored before it is listed and restored as before ('keepway history {0}'); "
                  "repair it from a clone with 'keepway audit {0} --from CLONE'; without one, save all "
                  "that is left with 'keepway audit {0} --rescue FOLDER', and enroll the machine again",
                  machine));
}

}  // namespace keepway::store
