// All that the pages of one machine show, gathered in one pass over the index of its line: backups, and each
// item's values over time.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "keepway/machine.hpp"
#include "keepway/trial.hpp"

namespace keepway {

// A value that an item got with a backup; absent: the backup does not hold the item (any more). A
// program's value is the id of its text.
struct Version {
  std::size_t backup = 0;  // place in Report::backups
  std::optional<std::string> value;
};

struct History {
  Address address;
  std::vector<Version> versions;  // oldest first, neighbours differ; as Machine::when() tells
  [[nodiscard]] bool is_program() const {
    return address.group == Group::programs && !is_unread(address.key);
  }
};

struct Report {
  MachineFacts machine;
  Namebook namebook;
  std::string line;             // "main", "trial/NAME"
  std::string tip;              // see seen_tip()
  std::int64_t made = 0;        // when it was gathered
  std::vector<Backup> backups;  // oldest first
  std::vector<History> items;   // by group, then natural order of key; those that are gone too
  std::vector<Trial> trials;
  std::optional<Backup> newest;  // of main, see Machine::newest() and last_good()
  std::optional<Backup> last_good;
  std::optional<Backup> shown;  // whose values are shown as the present ones
  Precision precision;          // of the backup that is shown, or of the last good one where that is doubtful
  // A program's text by its id. Reads the machine's repository: the machine must outlive the report.
  std::function<std::string(const std::string& id)> text;
  // The same as it came with a backup that it is a version of, by the backup's place; nullopt where its
  // originals do not hold it.
  std::function<std::optional<std::string>(std::size_t backup, const std::string& program)> received;
};

// What all of a report follows from, besides the owner's files: the tips of the lines.
std::string seen_tip(const Machine& machine);
Report gather_report(const Machine& machine, std::int64_t now);

// Times between which backups are missing: longer by half than the owner's interval (backup_every_days), or,
// where nobody said one, over twice and a half the usual one (the median); and over a day and a half. The
// stretch from the newest backup to `now` counts too.
struct Gap {
  std::int64_t from = 0;
  std::int64_t to = 0;
  std::size_t missing = 0;  // backups that would have fitted
};
// Seconds between backups as a rule; 0 with fewer than three.
std::int64_t usual_interval(const std::vector<Backup>& backups);
std::vector<Gap> gaps(const std::vector<Backup>& backups, std::optional<int> every_days, std::int64_t now);

}  // namespace keepway
