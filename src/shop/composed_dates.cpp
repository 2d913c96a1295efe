// The dates that files put together by a restore bear: none of the machine's own backups has them.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "keepway/restoring.hpp"
#include "keepway/small_file.hpp"

namespace keepway {
namespace {

constexpr std::size_t most_dates = 100;
constexpr const char* dates_file = "keepway/composed-dates";

bool is_dated(const media::File& file, const std::vector<std::int64_t>& dates) {
  constexpr std::int64_t step = 2;  // of times on FAT (ECMA-107)
  return file.modified && std::any_of(dates.begin(), dates.end(), [&](std::int64_t date) {
           return date - *file.modified >= 0 && date - *file.modified < step;
         });
}

}  // namespace

std::vector<std::int64_t> composed_dates(const Machine& machine) {
  std::vector<std::int64_t> dates;
  const std::string text = read_small_file(machine.repository().git_folder() / dates_file).value_or("");
  const char* at = text.data();
  const char* end = at + text.size();
  while (at < end && dates.size() < most_dates) {
    std::int64_t date = 0;
    const auto [next, failed] = std::from_chars(at, end, date);
    if (failed != std::errc()) break;
    dates.push_back(date);
    at = std::find(next, end, '\n');
    if (at < end) ++at;
  }
  return dates;
}

bool are_dated(const media::Set& set, const std::vector<std::int64_t>& dates) {
  return !set.files.empty() && std::all_of(set.files.begin(), set.files.end(),
                                           [&](const media::File& file) { return is_dated(file, dates); });
}

bool are_put_together(const media::Set& set, const std::vector<std::int64_t>& composed) {
  const auto newest =
      std::max_element(set.files.begin(), set.files.end(), [](const media::File& a, const media::File& b) {
        return a.modified < b.modified;  // none before any
      });
  return newest != set.files.end() && is_dated(*newest, composed);
}

void remember_composed(const Machine& machine, const RestoreJob& job) {
  if (job.composed_at == 0) return;
  std::vector<std::int64_t> dates = composed_dates(machine);
  dates.insert(dates.begin(), job.composed_at);
  dates.resize(std::min(dates.size(), most_dates));
  std::error_code failed;
  const auto path = machine.repository().git_folder() / dates_file;
  std::filesystem::create_directories(path.parent_path(), failed);
  (void)write_small_file(path, fmt::format("{}\n", fmt::join(dates, "\n")));
}

}  // namespace keepway
