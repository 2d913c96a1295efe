// What report and view share: the machines that are shown, and their pages.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "cli/command.hpp"
#include "keepway/pages.hpp"

namespace keepway::cli {

// A machine with its report and pages; they refer to each other, so it stays where it is.
struct Shown {
  explicit Shown(Machine opened) : machine(std::move(opened)) {}
  Machine machine;
  Report report;
  std::unique_ptr<show::MachinePages> pages;
};

// Reads a machine's whole history.
std::unique_ptr<Shown> gather(const Shop& shop, const std::string& name, const show::PageOptions& options);
std::string shop_title(const Shop& shop);
show::ShopMachine summary(const Shown& shown);
// The row of a machine that cannot be read: it is in the shop's list with the reason, and hides no other.
show::ShopMachine unreadable(const std::string& name, const Error& error);

// A machine as of its last good backup, to be compared with others.
struct TwinSideShown {
  Machine machine;
  Backup at;
  State state;
  Precision precision;
};
// Null without a good backup, and where that is lost.
std::unique_ptr<TwinSideShown> twin_side(const Shop& shop, const std::string& name);
show::PageFile twins_page(const TwinSideShown& a, const TwinSideShown& b);

}  // namespace keepway::cli
