// What a backup is worth: complete, sane, and what to do at the machine when it is not.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "keepway/compare.hpp"
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
  // What it is about, whatever else moves: a file, an address, a line's text. With the code it says whether
  // a later backup has the same reason at the same place. Empty: the place's file.
  std::string spot = {};
  bool of_reader = false;  // what a reader found in a file: there may be one a line
};

// A reason that a person stood by, with --accept, when a backup had it.
struct KnownReason {
  std::string code;
  std::string spot;
  int since = 0;        // number of that backup; 0: not accepted yet
  std::int64_t at = 0;  // when it was accepted
  std::string by;
  std::string what;
};
struct AsBefore {
  Reason reason;
  int since = 0;
  std::string by;
};

// A change that can hurt, to be looked at before the machine cuts. It says nothing against the backup.
struct Caution {
  std::vector<std::string> codes;     // stable: "sign-flipped", "factor-of-ten", "point-gone", "point-added",
                                      // "point-missing", "feed-to-rapid", "mode-changed", "out-of-limits",
                                      // "large-step", "caution-item"
  Address address;                    // of the value; of the program for a block
  std::string name;                   // from the namebook, or empty
  std::optional<std::string> before;  // the value, or the block; absent: not there
  std::optional<std::string> after;
  std::string why;  // "the sign flipped; above its limit of 30"
  Place place;      // in the files of this backup, where it is known
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
  std::vector<Reason> reasons;  // heaviest first, then the gravest cause; of many of one kind the first few
  std::vector<AsBefore> as_before;  // reasons that a person knows: they make nothing doubtful
  std::vector<Caution> cautions;    // most dangerous group first
  std::vector<KnownReason>
      present;  // all that speaks against this backup, known or new: what --accept stands by
  Counts counts;
};

// What an earlier backup was, as far as judging the next one needs it.
struct Previous {
  State state;
  std::int64_t at = 0;                    // its time
  int number = 0;                         // 0: none
  std::vector<std::string> reasons = {};  // "code: what" of what made it doubtful
};

// The baseline's files. Bytes are got only where a check asks.
struct OldFile {
  std::string name;
  bool same = false;  // the backup judged has this file, byte for byte
};
struct OldFiles {
  std::vector<OldFile> list;
  std::function<std::string(std::size_t)> read;  // by place in the list
};

// Where a file's bytes were met before the baseline.
struct Earlier {
  int number = 0;            // of the backup
  std::size_t versions = 0;  // of this file since then, the baseline's among them
};
// What still earlier backups say, got only where a check asks. Each may be empty: not known.
struct Past {
  std::function<std::int64_t()> first;  // time of the machine's first backup
  std::function<bool(Group)> shrank;    // whether a group ever lost an item from one good backup to the next
  std::function<std::optional<Earlier>(std::size_t)> earlier;  // of a file of the set, by its place
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
  const Changes* changes = nullptr;    // compare() of `last` and this one; null: not made yet
  Units units = Units::inch;
  bool sound = true;  // `baseline` was good or accepted; not so where there is no such backup
  const OldFiles* old_files = nullptr;  // of the baseline; null: not at hand
  std::int64_t now = 0;                 // this computer's clock; 0: not known
  bool dated = false;                   // a person gave the time
  bool from_drawer = false;             // out of a drawer of old ones: older than `last` is as it should be
  bool repeat = false;                  // the same files as `last`
  bool by_restore = false;              // a restore put these files together
  std::int64_t newest = 0;  // time of the newest backup, where `last` is an earlier one; 0: it is not
  std::vector<KnownReason> known = {};
  Past past = {};
};
Verdict judge(const JudgeInput& input);

// What says that all groups of a backup together are as memory that was never written: nearly every value is
// zero, or nearly every one the same. nullopt where there are few values, or too many that are set. A new
// machine has offsets and variables of zero, so with programs in it the parameters and settings have to be as
// empty.
std::optional<std::string> looks_lost(const State& state);

// The folders of a set each of which alone has a file for each required source of the layout, where there are
// several: then the set is the drawer rather than one backup. In natural order.
std::vector<std::string> backups_within(const Layout& layout, const media::Set& set,
                                        const std::string& serial);
// "these look like 18 backups, in 2025-12-03, 2026-01-14, 2026-02-11 and others".
std::string look_like_backups(const std::vector<std::string>& folders);

}  // namespace keepway
