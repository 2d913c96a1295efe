// Time of `status` over a shop. Usage: status_bench [MACHINES] [BACKUPS], by default 1000 and 5. The shop is
// made in the system's temporary folder, with a real backup each and further commits as backups have them.
#include <fmt/format.h>
#include <stdlib.h>  // mkdtemp is POSIX

#include <chrono>
#include <filesystem>

#include "keepway/status.hpp"
#include "shop/backup_commit.hpp"

namespace {

using namespace keepway;

constexpr std::int64_t day = 86'400;
constexpr std::int64_t begun = 1'772'323'200;  // 2026-03-01

media::Set files() {
  media::Set set;
  std::string variables;
  for (int i = 100; i < 1'000; ++i) variables += fmt::format("#{}={}.{:04}\n", i, i % 7, i);
  set.files.push_back({"VARS.VAR", variables});
  set.files.push_back({"O1000.NC", "%\nO1000\nG0 X1.\nM30\n%\n"});
  return set;
}

void make_machine(Shop& shop, int number, int backups) {
  Shop::Enrollment enrollment;
  enrollment.name = fmt::format("machine-{}", number);
  enrollment.layout = "rs274ngc";
  enrollment.backup_every_days = 7;
  enrollment.by = "bench";
  enrollment.now = begun;
  Machine machine = shop.enroll(enrollment);
  IntakeOptions options;
  options.at = options.now = begun;
  options.by = "bench";
  options.accept = true;
  machine.intake(machine.inspect(files(), options), options);
  for (int i = 2; i <= backups; ++i) {
    Backup backup;
    backup.number = i;
    backup.at = backup.taken = begun + i * day;
    backup.who = "bench";
    backup.gist = "no change";
    backup.confirmed = i % 4 == 0;
    machine.repository().add("main", {}, {}, commit_for_backup(backup));
  }
}

}  // namespace

int main(int argc, char** argv) {
  const int machines = argc > 1 ? std::atoi(argv[1]) : 1'000;
  const int backups = argc > 2 ? std::atoi(argv[2]) : 5;
  std::string made = (std::filesystem::temp_directory_path() / "keepway-status-XXXXXX").native();
  if (::mkdtemp(made.data()) == nullptr) return 1;
  Shop shop = Shop::init(std::filesystem::path(made) / "shop", "bench");
  for (int i = 0; i < machines; ++i) make_machine(shop, i, backups);
  for (int round = 0; round < 5; ++round) {
    const auto start = std::chrono::steady_clock::now();
    const auto found = shop_status(shop, begun + 30 * day);
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
    fmt::print("{} machines, {} backups each: {:.0f} ms{}\n", found.size(), backups, took.count(),
               round == 0 ? " (the first)" : "");
  }
  std::filesystem::remove_all(made);
}
