// Finding the backups in a drawer, and their dates.
#include <fcntl.h>
#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <map>
#include <set>

#include "base/parallel.hpp"
#include "keepway/pile.hpp"
#include "media/folder.hpp"

namespace keepway {
namespace fs = std::filesystem;
namespace {

constexpr int max_folders_deep = 16;
// A control whose clock has lost the time writes the first day that FAT can hold (ECMA-107 counts years from
// 1980), or that of a decade (common practice, no source): on a holiday nobody backs up a machine.
bool shows_time(std::int64_t at) {
  constexpr std::int64_t fat_begins = 315'532'800 + 2 * 86'400;
  constexpr std::size_t day_digits = 10;
  const std::string day = format_time(at).substr(0, day_digits);
  return at >= fat_begins && day != "1990-01-01" && day != "2000-01-01";
}

struct Folder {
  struct Held {
    std::string name;
    media::Container kind;
  };
  std::vector<std::string> files;  // plain ones that are no container
  std::vector<Held> containers;    // images and archives
  std::vector<std::string> folders;
  std::vector<std::string> others;  // links, pipes and such
  std::int64_t newest = 0;          // of the times of `files`
};

std::optional<std::int64_t> modified_at(const fs::path& path) {
  std::error_code failed;
  const auto time = fs::last_write_time(path, failed);
  if (failed) return std::nullopt;
  return std::chrono::duration_cast<std::chrono::seconds>(
             std::chrono::file_clock::to_sys(time).time_since_epoch())
      .count();
}

class Finder {
 public:
  Finder(const Machine& machine, fs::path drawer) : machine_(machine), drawer_(std::move(drawer)) {}

  // Entries with their times from files; names are read after all are known.
  std::vector<PileEntry> taken;
  std::vector<PileEntry> left;

  void find() {
    if (!fs::is_directory(drawer_)) {
      throw Error(ErrorKind::input, "is not a folder",
                  "name the folder that holds the backups; a single backup goes in with 'keepway intake'",
                  Place{escape(drawer_.string())});
    }
    visit(drawer_, look(drawer_), 0);
  }

 private:
  void count() {
    const bool many = ++names_ > max_pile_names;  // on either thread
    if (!many && taken.size() + left.size() <= max_pile_entries) return;
    throw Error(ErrorKind::input,
                many ? fmt::format("holds more than {} files and folders", max_pile_names)
                     : fmt::format("holds more than {} backups and other things", max_pile_entries),
                "take it in part by part: name one of its folders", Place{escape(drawer_.string())});
  }

  Folder look(const fs::path& path) {
    Folder folder;
    const media::OpenFolder dir = media::open_folder(path);
    const auto more = [&] {
      count();
      return true;
    };
    for (media::Listed& entry : media::entries_in(*dir, path, more)) {
      if (entry.name.starts_with('.') || media::is_litter(entry.name)) continue;
      if (S_ISDIR(entry.kind)) {
        folder.folders.push_back(std::move(entry.name));
      } else if (!S_ISREG(entry.kind)) {
        folder.others.push_back(std::move(entry.name));
      } else {
        const auto kind =
            in_layout(entry.name) ? media::Container::none : media::container_kind(path / entry.name);
        if (kind == media::Container::none) {
          struct stat status {};
          if (::fstatat(::dirfd(dir.get()), entry.name.c_str(), &status, AT_SYMLINK_NOFOLLOW) == 0)
            folder.newest = std::max<std::int64_t>(folder.newest, status.st_mtim.tv_sec);
          folder.files.push_back(std::move(entry.name));
        } else {
          folder.containers.push_back({std::move(entry.name), kind});
        }
      }
    }
    return folder;
  }

  [[nodiscard]] bool in_layout(const std::string& name) const {
    const auto& sources = machine_.layout().sources;
    return std::any_of(sources.begin(), sources.end(), [&](const Source& source) {
      return match_name(source, name, machine_.facts().serial) != NameMatch::no;
    });
  }

  [[nodiscard]] std::string name_of(const fs::path& path) const {
    return path == drawer_ ? path.filename().string() : path.lexically_relative(drawer_).string();
  }

  void leave(const fs::path& path, const std::string& why) {
    left.push_back({path, {}, name_of(path), PileEntry::DatedBy::none, 0, why});
  }

  void visit(const fs::path& path, const Folder& folder, int depth) {
    const bool dated_below =
        std::any_of(folder.folders.begin(), folder.folders.end(), [](const std::string& child) {
          const auto date = date_in_name(child);
          return date && !date->weak;
        });
    const bool known = std::any_of(folder.files.begin(), folder.files.end(),
                                   [&](const std::string& file) { return in_layout(file); });
    const bool one = known && folder.containers.empty() && !dated_below;
    if (one) {
      take_folder(path, folder);
      return;
    }
    visit_below(path, folder.folders, depth + 1);
    for (const auto& [child, kind] : folder.containers) take_container(path / child, kind);
    if (!known && depth > 0 && folder.files.size() > 1) {
      leave(path, fmt::format("none of its {} files matches this machine's layout", folder.files.size()));
    } else {
      for (const std::string& child : folder.files) {
        leave(path / child, in_layout(child)
                                ? "a loose file beside complete backups"
                                : "no file that matches this machine's layout, and no image or archive");
      }
    }
    for (const std::string& child : folder.others)
      leave(path / child, "a link or a special file, which is not followed");
  }

  // Looks into some at a time, on two threads where they are many: a drawer of ten years has thousands.
  void visit_below(const fs::path& path, const std::vector<std::string>& names, int depth) {
    if (depth > max_folders_deep) {
      for (const std::string& name : names)
        leave(path / name, fmt::format("is more than {} folders deep", max_folders_deep));
      return;
    }
    constexpr std::size_t at_a_time = 256;
    constexpr std::size_t worth_a_thread = 16;
    for (std::size_t first = 0; first < names.size(); first += at_a_time) {
      std::vector<Folder> looked(std::min(at_a_time, names.size() - first));
      in_parallel(looked.size(), looked.size() >= worth_a_thread,
                  [&](std::size_t i) { looked[i] = look(path / names[first + i]); });
      for (std::size_t i = 0; i < looked.size(); ++i) visit(path / names[first + i], looked[i], depth);
    }
  }

  void take_folder(const fs::path& path, const Folder& folder) {
    std::int64_t newest = folder.newest;
    for (const std::string& below : folder.folders) {
      std::error_code failed;
      for (fs::recursive_directory_iterator at(path / below, failed), end; !failed && at != end;
           at.increment(failed)) {
        count();
        if (fs::is_regular_file(at->symlink_status()) &&
            !media::is_litter(at->path().lexically_relative(path).native()))
          newest = std::max(newest, modified_at(at->path()).value_or(0));
      }
    }
    taken.push_back({path, {}, name_of(path), PileEntry::DatedBy::files, newest, ""});
  }

  void take_container(const fs::path& path, media::Container kind) {
    if (kind == media::Container::archive) {
      // Members' times are known only by reading it whole.
      std::int64_t newest = 0;
      try {
        newest = media::read(path).newest().value_or(0);
      } catch (const Error& error) {
        leave(path, error.what());
        return;
      }
      taken.push_back({path, {}, name_of(path), PileEntry::DatedBy::files, newest, ""});
      return;
    }
    const std::vector<media::Slot> slots = media::find_slots(path);
    for (const media::Slot& slot : slots) {
      count();
      PileEntry entry{path, slot.number, name_of(path), PileEntry::DatedBy::files, 0, ""};
      if (slots.size() > 1) entry.name += fmt::format(" slot {}", slot.number);
      if (slot.files.empty()) continue;  // a blank slot is no backup
      if (std::none_of(slot.files.begin(), slot.files.end(),
                       [&](const media::SlotFile& file) { return in_layout(file.name); })) {
        entry.why_not = "no file that matches this machine's layout";
        left.push_back(std::move(entry));
        continue;
      }
      for (const media::SlotFile& file : slot.files) entry.at = std::max(entry.at, file.modified.value_or(0));
      if (!shows_time(entry.at) && slot.label_time) {
        entry.at = *slot.label_time;
        entry.by = PileEntry::DatedBy::label;
      }
      taken.push_back(std::move(entry));
    }
  }

  const Machine& machine_;
  fs::path drawer_;
  std::atomic<std::size_t> names_ = 0;
};

// The order of day and month that the names themselves show, where one of them leaves no choice.
DayOrder order_shown(const std::vector<NameDate>& dates) {
  std::size_t day_first = 0;
  std::size_t month_first = 0;
  for (const NameDate& date : dates) {
    day_first += date.shows_day_first ? 1U : 0U;
    month_first += date.shows_month_first ? 1U : 0U;
  }
  if ((day_first > 0) == (month_first > 0)) return DayOrder::unknown;
  return day_first > 0 ? DayOrder::day_first : DayOrder::month_first;
}

// Sets the entry's time by its name, its files' newest time bearing it out; or says why it has none.
void date(PileEntry& entry, const std::optional<NameDate>& name, DayOrder order) {
  const bool clock_known = shows_time(entry.at);
  const auto by_name = [&](const DateSpan& span) {
    entry.by = PileEntry::DatedBy::name;
    if (clock_known && span.holds(entry.at)) return;                     // the files tell the minute too
    entry.at = span.is_day() ? span.from + day_seconds / 2 : span.from;  // noon
  };
  if (name) {
    std::vector<DateSpan> spans;
    if (order != DayOrder::month_first)
      spans.insert(spans.end(), name->day_first.begin(), name->day_first.end());
    if (order != DayOrder::day_first)
      spans.insert(spans.end(), name->month_first.begin(), name->month_first.end());
    if (clock_known) {
      for (const DateSpan& span : spans) {
        if (span.holds(entry.at)) return by_name(span);
      }
    }
    if (!name->weak) {
      const bool one = std::all_of(spans.begin(), spans.end(),
                                   [&](const DateSpan& span) { return span.from == spans[0].from; });
      if (one && !spans.empty()) return by_name(spans[0]);
      entry.by = PileEntry::DatedBy::none;
      entry.why_not = "its name can be read day first or month first: say which with --dates";
      return;
    }
    if (!clock_known) {
      entry.by = PileEntry::DatedBy::none;
      entry.why_not = fmt::format(
          "its name may say {}, but its files have no plausible time: take it in by itself with "
          "'keepway intake --at'",
          readings_text(*name));
      return;
    }
  }
  if (clock_known) return;
  entry.by = PileEntry::DatedBy::none;
  entry.why_not =
      "no date in its name, and its files have no plausible time: take it in by itself with 'keepway intake "
      "--at'";
}

}  // namespace

Pile find_pile(const Machine& machine, const fs::path& drawer, DayOrder order) {
  fs::path clean = fs::absolute(drawer).lexically_normal();
  if (!clean.has_filename()) clean = clean.parent_path();
  Finder finder(machine, clean);
  finder.find();

  std::vector<NameDate> dates;
  std::vector<std::optional<NameDate>> of_entries;
  for (const PileEntry& entry : finder.taken) {
    auto found = date_in_name(entry.name);
    if (found) dates.push_back(*found);
    of_entries.push_back(std::move(found));
  }
  if (order == DayOrder::unknown) order = order_shown(dates);

  Pile pile;
  pile.left = std::move(finder.left);
  for (std::size_t i = 0; i < finder.taken.size(); ++i) {
    PileEntry& entry = finder.taken[i];
    const std::int64_t of_files = entry.at;
    const char* who = entry.by == PileEntry::DatedBy::label ? "its label is" : "its files are";
    date(entry, of_entries[i], order);
    if (of_entries[i] && shows_time(of_files) && is_of_another_year(*of_entries[i], of_files)) {
      entry.remark =
          fmt::format("its name {} {}, {} of {}: dated by {}", of_entries[i]->weak ? "may say" : "says",
                      readings_text(*of_entries[i]), who, format_time(of_files).substr(0, 4),
                      entry.by == PileEntry::DatedBy::name    ? "its name"
                      : entry.by == PileEntry::DatedBy::label ? "its label"
                                                              : "its files");
    }
    (entry.why_not.empty() ? pile.entries : pile.left).push_back(std::move(entry));
  }
  std::stable_sort(pile.entries.begin(), pile.entries.end(), [](const PileEntry& a, const PileEntry& b) {
    return a.at != b.at ? a.at < b.at : natural_order(a.name, b.name) < 0;
  });
  return pile;
}

}  // namespace keepway
