#include <fmt/format.h>

#include "keepway/text.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {

void check_medium(const JudgeInput& input, Reasons& reasons) {
  for (const media::Flaw& flaw : input.set.flaws) {
    reasons.push_back({Worth::doubtful, "medium-damaged",
                       flaw.file.empty() ? flaw.what : escape(flaw.file) + ": " + flaw.what, flaw.remedy,
                       Place{escape(flaw.file)}, escape(flaw.file) + ": " + flaw.what});
  }
  if (input.set.volume_full) {
    reasons.push_back({Worth::doubtful,
                       "medium-full",
                       "the volume is full to its last cluster: the control probably ran out of space",
                       "at the machine, back up again onto an empty volume, or the groups onto several",
                       {}});
  }
  if (!input.set.volume_full && !input.set.filled_file.empty()) {
    const std::string name = escape(input.set.filled_file);
    reasons.push_back(
        {Worth::doubtful, "medium-full",
         name + ", written last, ends exactly where a cluster does, as a file does that was cut off",
         "check whether its end is there: if not, back up again onto an empty volume; if it is, accept this "
         "backup with --accept",
         Place{name}});
  }
}

}  // namespace keepway::verdict
