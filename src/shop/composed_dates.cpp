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
