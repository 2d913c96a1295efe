#include "cli/site.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include "cli/twin.hpp"

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

show::ShopMachine summary(const Shown& shown) {
  const Report& report = shown.report;
  show::ShopMachine machine;
  machine.status = machine_status(shown.machine.repository().folder());
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

std::unique_ptr<TwinSideShown> twin_side(const Shop& shop, const std::string& name) {
  try {
    Machine machine = shop.machine(name);
    const auto good = machine.last_good();
    if (!good) return nullptr;
    State state = machine.state(good->commit);
    Precision precision = machine.precision(good->commit);
    return std::make_unique<TwinSideShown>(
        TwinSideShown{std::move(machine), *good, std::move(state), std::move(precision)});
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::store && error.kind() != ErrorKind::input) throw;
    return nullptr;
  }
}

show::PageFile twins_page(const TwinSideShown& a, const TwinSideShown& b) {
  const ComparedMachines found = compare_machines({a.machine, a.state}, {b.machine, b.state});
  const show::Context context{a.machine.facts(), a.machine.namebook(), {}};
  return show::twins_page(context, {a.machine.facts(), b.machine.facts(), a.at, b.at, found.twins,
                                    found.deltas, &b.machine.namebook(), &a.precision, &b.precision});
}

}  // namespace keepway::cli
