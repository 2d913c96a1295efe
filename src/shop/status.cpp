#include "keepway/status.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <limits>
#include <system_error>
#include <thread>

#include "keepway/clashes.hpp"
#include "keepway/time.hpp"
#include "keepway/trial.hpp"
#include "shop/backup_commit.hpp"
#include "shop/machine_toml.hpp"
#include "shop/main_line.hpp"
#include "shop/status_memory.hpp"

namespace keepway {
namespace {

constexpr const char* no_facts = "it has no machine.toml";

void read(const std::filesystem::path& path, MachineStatus& status) {
  const store::Repository repository = store::Repository::open(path);
  const auto text = repository.working_file("machine.toml");
  if (!text) {
    throw Error(ErrorKind::input, no_facts,
                "bring the file back with 'git checkout machine.toml' in the machine's folder");
  }
  const MachineFacts facts = parse_machine_toml(*text, (path / "machine.toml").string());
  status.title = facts.title;
  status.backup_every_days = facts.backup_every_days;
  status.battery = facts.battery;
  const std::string line = repository.line();
  status.trial = trial_of_line(line).value_or("");
  for (const auto& each : repository.lines()) {
    auto trial = trial_of_line(each.name);
    if (trial && each.name != line) status.paused.push_back(std::move(*trial));
  }
  const auto tip = main_tip(repository);
  if (!tip) {
    throw Error(ErrorKind::store, "its newest backup cannot be found",
                "run 'git fsck' in that folder; if it is damaged, put a clone in its place");
  }
  MainLine main = read_main_line(repository, *tip);
  status.newest = std::move(main.newest);
  status.last_good = std::move(main.good);
  if (!main.memory.confirming.empty()) {
    status.last_confirming = backup_from_commit(repository.info(main.memory.confirming));
    if (status.last_confirming) main.amendments.apply(*status.last_confirming);
  }
  if (const auto at = repository.tip(); at && !status.trial.empty()) {
    repository.walk(*at, [&](const store::CommitInfo& info) {
      auto backup = backup_from_commit(info);
      if (!backup) return true;
      if (backup->trial != status.trial) return false;
      main.amendments.apply(*backup);
      if (backup->withdrawn) return true;
      status.on_trial = std::move(*backup);
      return false;
    });
  }
  status.confirmed = main.memory.confirmed;
  status.clashes = open_clashes(repository).size();
  if (!status.last_good) {
    status.backup_due = 0;
  } else if (facts.backup_every_days) {
    status.backup_due = status.last_good->at + *facts.backup_every_days * day_seconds;
  }
}

// Of machines, whole and broken, in natural order.
std::vector<std::string> folders(const std::filesystem::path& shop) {
  std::vector<std::string> names;
  std::error_code failed;
  for (const auto& entry : std::filesystem::directory_iterator(shop, failed)) {
    if (std::filesystem::exists(entry.path() / ".git", failed) ||
        std::filesystem::exists(entry.path() / "machine.toml", failed)) {
      names.push_back(entry.path().filename().string());
    }
  }
  std::sort(names.begin(), names.end(), NaturalLess{});
  return names;
}

}  // namespace

MachineStatus machine_status(const std::filesystem::path& folder) {
  MachineStatus status;
  status.name = folder.filename().string();
  const auto broken = [&](const std::string& what, const std::string& remedy) {
    MachineStatus none;
    none.name = std::move(status.name);
    none.trouble = what;
    none.remedy = remedy;
    return none;
  };
  try {
    read(folder, status);
  } catch (const Error& error) {
    return broken(error.message(), error.remedy());
  } catch (const std::bad_alloc&) {
    throw;
  } catch (const std::exception& error) {
    return broken(error.what(), "look into the machine's folder");
  }
  return status;
}

std::vector<MachineStatus> shop_status(const Shop& shop, std::int64_t now) {
  const std::vector<std::string> names = folders(shop.folder());
  std::vector<MachineStatus> found(names.size());
  // Opening a repository is mostly waiting for the disk and for libgit2's allocations: a few threads help.
  constexpr std::size_t most_threads = 8;
  constexpr std::size_t machines_a_thread = 16;
  std::atomic<std::size_t> next = 0;
  std::atomic<bool> out_of_memory = false;
  const auto work = [&] {
    try {
      for (std::size_t i = next++; i < names.size(); i = next++)
        found[i] = machine_status(shop.folder() / names[i]);
    } catch (const std::bad_alloc&) {
      out_of_memory = true;
    }
  };
  {
    const std::size_t wanted = std::min<std::size_t>(
        {most_threads, std::thread::hardware_concurrency(), names.size() / machines_a_thread});
    std::vector<std::jthread> helpers;
    try {
      for (std::size_t i = 1; i < wanted; ++i) helpers.emplace_back(work);
    } catch (const std::system_error&) {
      // No more threads to be had: those there are do all the work.
    }
    work();
  }
  if (out_of_memory) throw std::bad_alloc();
  // Somebody's Git repository that never was a machine.
  std::erase_if(found, [](const MachineStatus& status) { return status.trouble == no_facts; });

  const auto first_due = [](const MachineStatus& status) {
    constexpr std::int64_t never = std::numeric_limits<std::int64_t>::max();
    if (!status.trouble.empty()) return std::numeric_limits<std::int64_t>::min();
    return std::min(status.backup_due.value_or(never), status.battery.due().value_or(never));
  };
  std::stable_sort(found.begin(), found.end(), [&](const MachineStatus& a, const MachineStatus& b) {
    if (a.is_due(now) != b.is_due(now)) return a.is_due(now);
    return first_due(a) < first_due(b);
  });
  return found;
}

}  // namespace keepway
