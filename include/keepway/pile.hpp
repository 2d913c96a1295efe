// The drawer: many old backups in folders, images and archives, found, dated and taken in oldest first.
//
// Nothing here writes to the drawer. A pile may be stopped at any moment and begun again: what is stored
// already is recognised by digest and date, and passed over.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/machine.hpp"

namespace keepway {

// What a name says of a date, by the clock on the wall: a span of seconds since 1970 UTC, `until` not in it.
// "2019-03" is a whole month.
struct DateSpan {
  std::int64_t from = 0;
  std::int64_t until = 0;
  [[nodiscard]] bool holds(std::int64_t at) const { return at >= from && at < until; }
  // A whole day, of 23 to 25 hours.
  [[nodiscard]] bool is_day() const { return until - from > 82'000 && until - from < 91'000; }
};

// Readings of the last date in a name. Several when the order of day and month cannot be known from it.
struct NameDate {
  std::vector<DateSpan> day_first;    // empty when that order gives no date
  std::vector<DateSpan> month_first;  // the same as day_first when the order is not in question
  bool shows_day_first = false;       // only that order gives a date, so whoever wrote it writes so
  bool shows_month_first = false;     // or the other
  bool weak = false;  // two digits for the year, six in a row, or a year alone: a guess that a file's time
                      // must bear out
};
// Year-month-day, day-month-year or month-day-year with '-', '_', '.', '/' or a space between, eight or six
// digits in a row, month names in English, Dutch, French, German, Italian, Polish, Portuguese and Spanish, a
// month alone, a year's folder above a day's (2021/25.06), a year alone (weak), and a time of day behind.
// nullopt when there is none.
std::optional<NameDate> date_in_name(std::string_view name);

// What it says, for people: "2021-06-25", "2021-06" for a month, "2021" for a year; several with "or"
// between.
std::string readings_text(const NameDate& date);
// Whether no reading of it begins in the year of `at`.
bool is_of_another_year(const NameDate& date, std::int64_t at);
// Whether no reading of it is within three days of `at`: a folder may be named by the day on which it was
// copied.
bool is_of_another_time(const NameDate& date, std::int64_t at);

enum class DayOrder { unknown, day_first, month_first };

// One backup in the drawer.
struct PileEntry {
  std::filesystem::path path;
  std::optional<std::size_t> slot;  // of a stick
  std::string name;                 // below the drawer, for people
  enum class DatedBy { none, name, files, label } by = DatedBy::none;
  std::int64_t at = 0;
  std::string why_not;      // not taken, and why; empty when it is to be taken
  std::string remark = {};  // what to look at although it is taken: its name says another year than its files
};

struct Pile {
  std::vector<PileEntry> entries;  // to be taken, oldest first
  std::vector<PileEntry> left;     // not to be taken, each with its reason
};

// Looks through `drawer`. A folder is one backup when a file in it is of the machine's layout and none of its
// sub-folders is dated by its name; images (each slot with files) and archives are one each. Links are not
// followed. Error{input} when the drawer cannot be read, or holds more than this.
inline constexpr std::size_t max_pile_entries = 200'000;   // backups, and things left aside
inline constexpr std::size_t max_pile_names = 20'000'000;  // of files and folders
Pile find_pile(const Machine& machine, const std::filesystem::path& drawer, DayOrder order);

// What became of one entry.
struct PileStep {
  const PileEntry* entry = nullptr;
  enum class Fate { stored, there_already, refused, unreadable } fate = Fate::stored;
  std::optional<Backup> backup;  // stored, or the one that is there already
  std::string why;               // refused, unreadable
};

struct PileOptions {
  std::string by;
  std::string note;
  bool accept = false;   // store refused ones too
  bool dry_run = false;  // tell the fates, and store nothing; `stored` then means: would be
  std::int64_t now = 0;
};
// Takes the entries in, calling `tell` after each; stops early, between two backups, when it returns false.
// What came in lands every two seconds or so (Repository::begin_series), and at the end. Error{store} ends
// it: what has landed stays, the last ones reported may not have.
void take_pile(Machine& machine, const Pile& pile, const PileOptions& options,
               const std::function<bool(const PileStep&)>& tell);

}  // namespace keepway
