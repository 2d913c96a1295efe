// What a backup is worth: complete, sane, and what to do at the machine when it is not.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "keepway/media.hpp"
#include "keepway/namebook.hpp"
#include "keepway/reader.hpp"

namespace keepway {

enum class Worth { good, doubtful, refused };
std::string_view worth_name(Worth worth);
std::optional<Worth> parse_worth(std::string_view name);

struct Reason {
  Worth weight = Worth::doubtful;  // good: worth knowing only
  std::string code;                // stable, for programs: "group-missing"
  std::string what;
  std::string remedy;  // what to do at the machine
  Place place;
};

struct Counts {
  std::array<std::size_t, 5> items{};  // by group; programs in its own place
  std::array<std::size_t, 5> unread{};
  std::size_t files = 0;
  std::uint64_t bytes = 0;
  friend bool operator==(const Counts&, const Counts&) = default;
};
Counts count(const State& state);

struct Verdict {
  Worth worth = Worth::good;    // the heaviest of the reasons
  std::vector<Reason> reasons;  // heaviest first
  Counts counts;
};

// What the last backup was, as far as judging the next one needs it.
struct Previous {
  State state;
  std::int64_t at = 0;  // its time
};

struct JudgeInput {
  const Layout& layout;
  const Namebook& namebook;
  const media::Set& set;
  const Reading& reading;
  std::string serial;
  std::int64_t at = 0;                 // time of this backup
  const Previous* last = nullptr;      // the backup before; null for a first one
  const Previous* baseline = nullptr;  // the newest that was good or accepted; `last` when it is the same
};
Verdict judge(const JudgeInput& input);

}  // namespace keepway
