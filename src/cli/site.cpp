#include "cli/site.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>
#include <unistd.h>

#include <chrono>

namespace keepway::cli {
namespace {

// A line on the terminal, from the first second on, at most ten times a second.
class ProgressLine {
 public:
  explicit ProgressLine(std::string what) : what_(std::move(what)), on_(::isatty(2) == 1) {}
  ~ProgressLine() {
    if (drawn_) std::fputs("\r\x1b[K", stderr);
  }
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  void tell(std::size_t done, std::size_t all) {
    const auto now = Clock::now();
    if (!on_ || now - start_ < std::chrono::seconds(1) || now - last_ < std::chrono::milliseconds(100))
      return;
    last_ = now;
    drawn_ = true;
    fmt::print(stderr, "\r{}: {} of {} backups\x1b[K", what_, done, all);
    std::fflush(stderr);
  }

 private:
  using Clock = std::chrono::steady_clock;
  std::string what_;
  bool on_;
  bool drawn_ = false;
  Clock::time_point start_ = Clock::now();
  Clock::time_point last_ = start_;
};

}  // namespace

std::unique_ptr<Shown> gather(const Shop& shop, const std::string& name, const show::PageOptions& options) {
  auto shown = std::make_unique<Shown>(shop.machine(name));
  ProgressLine progress("reading " + name);
  shown->report = gather_report(shown->machine, now(),
                                [&](std::size_t done, std::size_t all) { progress.tell(done, all); });
  shown->pages = std::make_unique<show::MachinePages>(shown->report, options);
  return shown;
}

std::string shop_title(const Shop& shop) {
  try {
    const toml::table table = toml::parse_file((shop.folder() / "shop.toml").string());
    if (const auto title = table["title"].value<std::string>(); title && !title->empty()) return *title;
  } catch (const toml::parse_error&) {
    // a title is for show only
  }
  return "Machines";
}

show::ShopMachine summary(const Report& report) {
  show::ShopMachine machine;
  machine.machine = report.machine;
  machine.backups = report.backups.size();
  if (!report.backups.empty()) machine.newest = report.backups.back();
  for (const Backup& backup : report.backups) {
    if (backup.worth == Worth::good) machine.newest_good = backup;
  }
  for (const Gap& gap : gaps(report.backups, report.made)) {
    if (gap.to == report.made) machine.missing = gap.missing;
  }
  return machine;
}

}  // namespace keepway::cli
