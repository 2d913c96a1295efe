#include "cli/site.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

namespace keepway::cli {

std::unique_ptr<Shown> gather(const Shop& shop, const std::string& name, const show::PageOptions& options) {
  auto shown = std::make_unique<Shown>(shop.machine(name));
  shown->report = gather_report(shown->machine, now());
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
  machine.newest = report.newest;
  machine.newest_good = report.last_good;
  for (const Gap& gap : gaps(report.backups, report.machine.backup_every_days, report.made)) {
    if (gap.to == report.made) machine.missing = gap.missing;
  }
  return machine;
}

show::ShopMachine unreadable(const std::string& name, const Error& error) {
  show::ShopMachine machine;
  machine.machine.name = escape(name);
  machine.machine.title = fmt::format("cannot be read: {}; what to do: {}", error.message(), error.remedy());
  return machine;
}

}  // namespace keepway::cli
