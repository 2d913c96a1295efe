#include "keepway/sync.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/acts.hpp"
#include "cli/hooks.hpp"
#include "cli/progress.hpp"

namespace keepway::cli {
namespace {

struct SyncFlags {
  std::string machine;
  bool all = false;
  SyncOptions sync;
};

// Also where a first sync was cut off before it came to them. Hooks of somebody else's are left alone.
void put_hooks_again(const std::filesystem::path& folder, bool fresh) {
  try {
    put_hooks(folder, false);
  } catch (const Error& error) {
    if (fresh || error.kind() != ErrorKind::refused) throw;
  }
}

Exit exit_of(const SyncAnswer& answer) {
  return answer.attention.empty() && answer.clashes.empty() ? Exit::done : Exit::look;
}

void run(Globals& globals, SyncFlags& options) {
  const Shop shop = open_shop(globals);
  if (options.all == !options.machine.empty()) {
    throw Error(ErrorKind::usage, "name one machine, or --all", "keepway sync mill-1, or keepway sync --all");
  }
  if (options.all && !(options.sync.to.empty() && options.sync.remote.empty())) {
    throw Error(ErrorKind::usage, "several machines cannot share one remote",
                "give --to and --remote with one machine");
  }
  options.sync.progress = [](const SyncProgress& at) {
    Progress::step(at.step, at.done, at.total, fmt::format("objects, {} KiB", at.bytes / 1024));
  };
  std::vector<std::string> names = {options.machine};
  if (options.all) names = shop.machines();
  std::vector<show::Synced> synced;
  const auto failures = for_each_machine(globals, names, options.all, [&](const std::string& name) {
    if (options.all) (void)shop.machine(name);  // what is wrong with it is no missing remote
    try {
      const SyncAnswer answer = sync_machine(shop, name, options.sync);
      synced.push_back({name, answer});
      globals.exit = std::max(globals.exit, exit_of(answer));
    } catch (const Error& error) {
      if (!options.all || error.kind() != ErrorKind::usage) throw;
      // None of its own yet.
      synced.push_back({name, std::nullopt});
    }
  });
  print(globals, show::synced(synced, failures));
  print_failures(failures);
}

// Machines of the shop whose history has the same beginning as a copy that has just come.
std::vector<std::string> copies_of(const Shop& shop, const std::string& name) {
  const Machine copy = shop.machine(name);
  store::Oid first;
  copy.repository().walk(copy.repository().tip().value_or(""), [&](const store::CommitInfo& info) {
    first = info.id;
    return true;
  });
  std::vector<std::string> found;
  for (const std::string& other : shop.machines()) {
    if (other == name) continue;
    try {
      if (store::Repository::open(shop.folder() / other).has(first)) found.push_back(other);
    } catch (
        const Error&) {  // NOLINT(bugprone-empty-catch): what is wrong with it is another command's to say
    }
  }
  return found;
}

}  // namespace

SyncAnswer sync_machine(const Shop& shop, const std::string& name, SyncOptions options) {
  check_machine_name(name);
  const std::filesystem::path folder = shop.folder() / name;
  const bool made = !std::filesystem::exists(folder);
  const bool fresh = !options.to.empty() && store::only_git_in(folder);
  if (!fresh) (void)shop.machine(name);
  options.by = who();
  options.now = now();
  try {
    SyncAnswer answer = sync(folder, options);
    if (!options.to.empty()) put_hooks_again(folder, fresh);
    if (!fresh) return answer;
    for (const std::string& other : copies_of(shop, name)) {
      answer.attention.push_back(fmt::format(
          "{0} is the same machine, and is in this shop already: sync that one (keepway sync {0} --to {2}), "
          "then remove the folder {1}, which is only a copy",
          other, name, escape(options.to)));
    }
    return answer;
  } catch (const Error&) {
    std::error_code ignored;
    // A machine that could not be brought here leaves nothing behind.
    if (fresh && made && !std::filesystem::exists(folder / "machine.toml"))
      std::filesystem::remove_all(folder, ignored);
    throw;
  }
}

Done synced(const std::string& name, const SyncAnswer& answer) {
  return {show::synced({{name, answer}}, {}), exit_of(answer)};
}

void add_sync(Command app, Globals& globals) {
  auto options = std::make_shared<SyncFlags>();
  Command made = command(app, "sync", "Make a machine's repository and its remote equal",
                         "keepway sync mill-1 --to ssh://git@server/mill-1.git   (once)\n"
                         "  keepway sync --all");
  made->add_option("MACHINE", options->machine, "The machine");
  made->add_flag("--all", options->all, "Each machine of the shop that has a remote");
  made->add_option("--remote", options->sync.remote, "The remote's name, or a URL; else origin")
      ->type_name("NAME|URL");
  made->add_option("--to", options->sync.to,
                   "Set the remote's URL; a machine that is not here yet is copied from there")
      ->type_name("URL");
  made->add_flag("--accept", options->sync.accept,
                 "Take an older repository as it is, with commits that a server's hook would refuse, or a "
                 "branch that was rewritten there; what could do harm is still refused");
  made->callback([&globals, options] { run(globals, *options); });
}

}  // namespace keepway::cli
