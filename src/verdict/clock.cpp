// The time of the backup beside this computer's clock and the machine's other backups.
#include <algorithm>

#include "keepway/time.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

constexpr std::int64_t hour = 3600;
constexpr std::int64_t day = 24 * hour;
// Times on FAT and in names have no zone and are taken as this computer's, so those of a right clock
// elsewhere may be ahead by 14 hours (the furthest zone is UTC+14, this computer's perhaps UTC); a little
// more for two clocks that differ.
constexpr std::int64_t tolerated_ahead = 14 * hour + 600;
constexpr std::int64_t far_off = 7300 * day;  // 20 years
// A clock that has lost its battery begins again decades ago; a later date that a person gives is believed.
constexpr std::int64_t year_2001 = 978'307'200;

constexpr const char* set_clock =
    "set the clock of the control or of this computer; give the true date, of what is stored with 'keepway "
    "correct', else with --at";
constexpr const char* look_whether_old =
    "take an old backup in with 'keepway pile', which judges it by those before it; else check the folder "
    "and the control's clock: 'keepway correct' gives what is stored its true date";

}  // namespace

void check_clock(Case& in, Reasons& reasons) {
  const JudgeInput& input = in.input();
  const auto wrong = [&](const char* code, const std::string& what, const char* remedy) {
    reasons.push_back({Worth::doubtful, code, what, remedy, {}, "clock"});
  };
  if (input.now > 0 && input.at > input.now + tolerated_ahead) {
    wrong("dated-ahead", "the backup is dated " + format_time(input.at) + ", which is in the future",
          set_clock);
    return;
  }
  if (input.from_drawer) return;  // taken in by date: what is there already says nothing of its clock
  std::int64_t newest = std::max(input.newest, input.last != nullptr ? input.last->at : input.at);
  if (input.baseline != nullptr) newest = std::max(newest, input.baseline->at);
  if (input.now > 0) newest = std::min(newest, input.now);  // one dated ahead hides no other
  if (input.at < newest) {
    const std::int64_t first = input.past.first ? input.past.first() : input.at;
    if (input.at < first && !(input.dated && input.at >= year_2001)) {
      wrong("clock-behind",
            "the backup is dated " + format_time(input.at) + ", before the machine's first backup",
            set_clock);
    } else {
      wrong("older-than-last", "this backup is older than the last one taken in", look_whether_old);
    }
    return;
  }
  if (!input.dated && input.now > 0 && input.at < input.now - far_off)
    wrong("clock-behind", "the backup's files are dated " + format_time(input.at) + ", decades ago",
          set_clock);
}

}  // namespace keepway::verdict
