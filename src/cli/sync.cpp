#include "keepway/sync.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>

#include "cli/command.hpp"
#include "cli/hooks.hpp"
#include "cli/progress.hpp"
#include "show/json.hpp"
#include "show/text.hpp"
#include "store/sync.hpp"

namespace keepway::cli {
namespace {

struct Options {
  std::string machine;
  bool all = false;
  SyncOptions sync;
};

std::string text_of(const std::string& machine, const SyncAnswer& answer) {
  std::string text = fmt::format("{}  with {}\n", machine, escape(answer.url));
  const auto line = [&](std::size_t count, const std::string& what) {
    if (count > 0) text += fmt::format("  {} {}\n", show::with_commas(count), what);
  };
  line(answer.received, "received");
  line(answer.sent,
       answer.laid == 0 ? "sent" : fmt::format("sent, {} laid onto what others had sent", answer.laid));
  line(answer.twice, "there already: the same files of the same time");
  for (const std::string& each : answer.came) text += fmt::format("  received: {}\n", escape(each));
  for (const std::string& each : answer.went) text += fmt::format("  sent: {}\n", escape(each));
  for (const std::string& each : answer.attention) text += fmt::format("  ! {}\n", escape(each));
  const bool nothing = answer.received + answer.sent + answer.twice == 0 && answer.came.empty() &&
                       answer.went.empty() && answer.attention.empty();
  return nothing ? text + "  both sides are the same\n" : text;
}

show::Json json_of(const std::string& machine, const SyncAnswer& answer) {
  const auto list = [](const std::vector<std::string>& texts) {
    show::Json out = show::Json::array();
    for (const std::string& text : texts) out.push_back(escape(text));
    return out;
  };
  return {{"machine", machine},        {"remote", escape(answer.url)}, {"received", answer.received},
          {"sent", answer.sent},       {"laid", answer.laid},          {"twice", answer.twice},
          {"came", list(answer.came)}, {"went", list(answer.went)},    {"attention", list(answer.attention)}};
}

// Also where a first sync was cut off before it came to them. Hooks of somebody else's are left alone.
void put_hooks_again(const std::filesystem::path& folder, bool fresh) {
  try {
    put_hooks(folder, false);
  } catch (const Error& error) {
    if (fresh || error.code() != Exit::refused) throw;
  }
}

void run(Globals& globals, Options& options) {
  const Shop shop = open_shop(globals);
  if (options.all == !options.machine.empty()) {
    throw Error(Exit::usage, "name one machine, or --all", "keepway sync mill-1, or keepway sync --all");
  }
  if (options.all && !(options.sync.to.empty() && options.sync.remote.empty())) {
    throw Error(Exit::usage, "machines do not share a remote", "give --to and --remote with one machine");
  }
  options.sync.progress = [](const SyncProgress& at) {
    Progress::step(at.step, at.done, at.total, fmt::format("objects, {} KiB", at.bytes / 1024));
  };
  std::vector<std::string> names = {options.machine};
  if (options.all) names = shop.machines();
  show::Json json = show::start("sync", nullptr);
  json["machines"] = show::Json::array();
  std::string text;
  const auto failures = for_each_machine(globals, names, options.all, [&](const std::string& name) {
    const std::filesystem::path folder = shop.folder() / name;
    const bool made = !std::filesystem::exists(folder);
    const bool fresh = !options.sync.to.empty() && store::only_git_in(folder);
    if (!fresh) (void)shop.machine(name);
    if (fresh && (name.find('/') != std::string::npos || name.starts_with('.'))) {
      throw Error(Exit::usage, fmt::format("'{}' is no name for a machine", escape(name)),
                  "use letters and digits");
    }
    try {
      const SyncAnswer answer = sync(folder, options.sync);
      if (!options.sync.to.empty()) put_hooks_again(folder, fresh);
      if (fresh) (void)shop.machine(name);
      text += text_of(name, answer);
      json["machines"].push_back(json_of(name, answer));
      if (!answer.attention.empty()) globals.exit = std::max(globals.exit, Exit::look);
    } catch (const Error& error) {
      std::error_code ignored;
      // A machine that could not be brought here leaves nothing behind.
      if (fresh && made && !std::filesystem::exists(folder / "machine.toml")) {
        std::filesystem::remove_all(folder, ignored);
      }
      if (!options.all || error.code() != Exit::usage) throw;
      // None of its own yet.
      text += fmt::format("{}  has no remote: keepway sync {} --to URL\n", name, name);
      json["machines"].push_back({{"machine", name}, {"remote", nullptr}});
    }
  });
  for (const show::Failure& failure : failures) {
    text += show::failure_text(failure);
    json["machines"].push_back(show::to_json(failure));
  }
  print(globals, {text, show::finish(json)});
  print_failures(failures);
}

}  // namespace

void add_sync(CLI::App& app, Globals& globals) {
  auto options = std::make_shared<Options>();
  CLI::App* made = command(app, "sync", "Bring a machine's repository and its remote to the same",
                           "keepway sync mill-1 --to ssh://git@server/mill-1.git   (once)\n"
                           "  keepway sync --all");
  made->add_option("MACHINE", options->machine, "The machine");
  made->add_flag("--all", options->all, "Each machine of the shop that has a remote");
  made->add_option("--remote", options->sync.remote, "The remote's name, or a URL; else origin")
      ->type_name("NAME|URL");
  made->add_option("--to", options->sync.to,
                   "Set the remote's URL; a machine that is not here yet is brought from there")
      ->type_name("URL");
  made->callback([&globals, options] { run(globals, *options); });
}

}  // namespace keepway::cli
