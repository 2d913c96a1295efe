#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <set>

#include "keepway/text.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

// The number of a numbered program, or -1.
long number_of(std::string_view name) {
  long value = -1;
  name.remove_prefix(name.find_last_of('/') + 1);
  if (name.size() < 2 || name[0] != 'O') return -1;
  const auto [end, failed] = std::from_chars(name.data() + 1, name.data() + name.size(), value);
  return failed == std::errc{} && end == name.data() + name.size() ? value : -1;
}

const Range* protecting(const Layout& layout, std::string_view name) {
  const long number = number_of(name);
  for (const Source& source : layout.sources) {
    for (const Range& range : source.protected_programs) {
      if (number >= range.first && number <= range.last) return &range;
    }
  }
  return nullptr;
}

std::string join_some(const std::vector<std::string>& names) {
  constexpr std::size_t some = 8;
  if (names.size() <= some) return fmt::format("{}", fmt::join(names, ", "));
  return fmt::format("{} and {} more", fmt::join(names.begin(), names.begin() + some, ", "),
                     names.size() - some);
}

void check_protected(const JudgeInput& input, Reasons& reasons) {
  const Previous* before = input.baseline != nullptr ? input.baseline : input.last;
  const bool any_numbered = std::any_of(input.reading.programs.begin(), input.reading.programs.end(),
                                        [](const ProgramFacts& program) { return program.numbered; });
  for (const Source& source : input.layout.sources) {
    for (const Range& range : source.protected_programs) {
      const auto inside = [&](const Program& program) {
        const long number = number_of(program.name);
        return number >= range.first && number <= range.last;
      };
      const bool any_now =
          std::any_of(input.reading.state.programs.begin(), input.reading.state.programs.end(), inside);
      std::vector<std::string> gone;
      if (before != nullptr) {
        for (const Program& program : before->state.programs) {
          if (inside(program) && input.reading.state.program(program.name) == nullptr)
            gone.push_back(program.name);
        }
      }
      const std::string lock = fmt::format(
          "at the machine, turn off the lock of programs {} to {}, back up again, then turn it on again",
          range.first, range.last);
      if (!gone.empty()) {
        reasons.push_back({Worth::doubtful,
                           "protected-gone",
                           fmt::format("{} {} there before and {} missing now: the lock of programs {} to {} "
                                       "was probably on",
                                       join_some(gone), gone.size() == 1 ? "was" : "were",
                                       gone.size() == 1 ? "is" : "are", range.first, range.last),
                           lock,
                           {},
                           fmt::format("{} to {}: {}", range.first, range.last, fmt::join(gone, " "))});
      } else if (!any_now && any_numbered && before == nullptr) {
        reasons.push_back(
            {Worth::good,
             "protected-none",
             fmt::format("no program in {} to {}: if this machine has any, its program lock was on",
                         range.first, range.last),
             lock,
             {}});
      }
    }
  }
}

// On some controls the call's P holds a repeat count before the last four digits (common practice,
// no source), so a call is answered by either reading.
bool answered(const State& state, const std::string& name) {
  if (state.program(name) != nullptr) return true;
  const long number = number_of(name);
  return number > 9999 && state.program(fmt::format("O{}", number % 10000)) != nullptr;
}

void check_calls(const JudgeInput& input, Reasons& reasons) {
  std::set<std::string> reported;
  for (const ProgramFacts& program : input.reading.programs) {
    for (std::size_t i = 0; i < program.calls.size(); ++i) {
      const std::string& called = program.calls[i];
      if (answered(input.reading.state, called) || !reported.insert(called).second) continue;
      const bool hidden = protecting(input.layout, called) != nullptr;
      const Span& span = i < program.call_spans.size() ? program.call_spans[i] : program.span;
      const std::string file = escape(input.set.files[span.file].name);
      reasons.push_back(
          {Worth::doubtful, "call-missing",
           fmt::format("{}:{}: {} calls {}, which is not in this backup{}", file, span.line,
                       escape(program.name), called, hidden ? " (it is in a protected range)" : ""),
           hidden ? "at the machine, turn the program lock off, back up again, then turn it on again"
                  : "at the machine, check whether the program is there; back it up, or correct the call",
           Place{file, span.line, span.at}, "calls " + called});
    }
  }
}

// Programs that were deleted: one or two on purpose are daily work, and are noted; so many at once are not,
// unless a backup that was taken independently lacks them too. What is under another number is no more gone
// than what is locked, which is reported as that.
void check_gone_programs(const Case& in, Reasons& reasons) {
  const Previous* before = in.before();
  const State& now = in.input().reading.state;
  if (before == nullptr || now.programs.empty()) return;
  const Previous* witness = in.witness();
  bool seen = witness != nullptr && !witness->state.programs.empty();
  std::vector<std::string> gone;
  for (const Program& program : before->state.programs) {
    if (now.program(program.name) != nullptr || protecting(in.input().layout, program.name) != nullptr)
      continue;
    const bool renamed = std::any_of(now.programs.begin(), now.programs.end(), [&](const Program& other) {
      return other.text == program.text && before->state.program(other.name) == nullptr;
    });
    if (renamed) continue;
    gone.push_back(escape(program.name));
    seen = seen && witness->state.program(program.name) == nullptr;
  }
  if (gone.empty()) return;
  const std::size_t was = before->state.programs.size();
  constexpr std::size_t in_daily_work = 2;
  const bool many = gone.size() > in_daily_work && gone.size() * 10 > was && !seen;
  const std::string spot = fmt::format("{}", fmt::join(gone, " "));
  if (!many) {
    reasons.push_back({Worth::good,
                       "program-gone",
                       fmt::format("{} {} no longer here", join_some(gone), gone.size() == 1 ? "is" : "are"),
                       "nothing to do if it was deleted on purpose",
                       {},
                       spot});
    return;
  }
  reasons.push_back(
      {Worth::doubtful,
       "count-fell",
       now.programs.size() + gone.size() == was
           ? fmt::format("programs fell from {} to {}: {} gone", was, now.programs.size(), join_some(gone))
           : fmt::format("{} of {} programs are gone: {}", gone.size(), was, join_some(gone)),
       "at the machine, check whether all programs are there; if so, the file is incomplete: back up again",
       {},
       spot});
}

}  // namespace

void check_programs(Case& in, Reasons& reasons) {
  check_protected(in.input(), reasons);
  check_gone_programs(in, reasons);
  check_calls(in.input(), reasons);
}

}  // namespace keepway::verdict
