// A file that is as it was in an earlier backup, and not as in the newest good one: an old copy that the
// control did not write over looks so. So does a change that was taken back, where one thing was changed and
// no more.
#include <fmt/format.h>

#include "keepway/text.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {

void check_stale(Case& in, Reasons& reasons) {
  const JudgeInput& input = in.input();
  if (in.before() == nullptr) return;
  for (const Pair& pair : in.pairs()) {
    const Source* source = in.source_now(pair.now);
    if (pair.same || source == nullptr) continue;
    const std::string name = escape(in.name_now(pair.now));
    const auto& modified = input.set.files[pair.now].modified;
    const auto earlier = input.past.earlier ? input.past.earlier(pair.now) : std::nullopt;
    const bool one_program = source->reader == ReaderKind::blocks;
    if (earlier) {
      const bool taken_back = earlier->versions < 2 || one_program;
      reasons.push_back(
          {taken_back ? Worth::good : Worth::doubtful, "file-stale",
           fmt::format("{} is byte for byte as in {}, not as in {}: {}", name,
                       earlier->number > 0 ? fmt::format("#{}", earlier->number) : "an earlier state",
                       in.before_name(),
                       taken_back ? "a change that was undone, or an old copy" : "looks like an old copy"),
           "check whether the control wrote this file again: compare its time with the others', and send it "
           "again",
           Place{name}, name});
    } else if (modified && !one_program && *modified < in.before()->at - 86'400 &&
               input.at - *modified > 172'800 && in.before()->at > 0 && !input.dated) {
      reasons.push_back({Worth::doubtful, "file-stale",
                         fmt::format("{} was written before {}, and is not as it was then: an old copy", name,
                                     in.before_name()),
                         "check whether the control wrote this file again, and send it again", Place{name},
                         name});
    }
  }
}

}  // namespace keepway::verdict
