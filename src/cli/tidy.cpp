#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"
#include "show/text.hpp"

namespace keepway::cli {
namespace {

std::string megabytes(std::uint64_t bytes) {
  return fmt::format("{:.2f} MB", static_cast<double>(bytes) / 1e6);
}

}  // namespace

void add_tidy(CLI::App& app, Globals& globals) {
  struct Options {
    std::vector<std::string> machines;
    bool all = false;
  };
  auto options = std::make_shared<Options>();
  CLI::App* made = command(app, "tidy", "Pack what is stored as small as it goes; nothing is dropped",
                           "keepway tidy mill-1\n  keepway tidy --all");
  CLI::Option* named = made->add_option("MACHINE", options->machines, "The machines");
  made->add_flag("--all", options->all, "Every machine of the shop")->excludes(named);
  made->callback([&globals, options] {
    const Shop shop = open_shop(globals);
    const std::vector<std::string> machines = options->all ? shop.machines() : options->machines;
    if (machines.empty() && !options->all) {
      throw Error(Exit::usage, "say which machine", "name one, or take all of them with --all");
    }
    std::string text;
    std::vector<std::pair<std::string, show::Fact>> facts = {{"command", "tidy"}};
    const auto failures = for_each_machine(globals, machines, options->all, [&](const std::string& name) {
      Machine machine = shop.machine(name);
      const store::Repository::Tidied tidied = machine.repository().tidy();
      text += fmt::format("{}  {} in {} and {}, now {} in {}\n", escape(name), megabytes(tidied.bytes_before),
                          show::count_of(tidied.packs_before, "pack", "packs"),
                          show::count_of(tidied.loose, "loose object", "loose objects"),
                          megabytes(tidied.bytes_after), show::count_of(tidied.packs_after, "pack", "packs"));
      const std::string prefix = options->all || machines.size() > 1 ? escape(name) + "." : "";
      facts.emplace_back(prefix + "bytes_before", tidied.bytes_before);
      facts.emplace_back(prefix + "bytes_after", tidied.bytes_after);
    });
    print(globals, show::done(text, facts, failures));
    print_failures(failures);
  });
}

}  // namespace keepway::cli
