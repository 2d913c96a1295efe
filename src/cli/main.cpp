#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <array>
#include <cstdint>
#include <cstdlib>
#include <exception>
#include <string_view>

#include "cli/command.hpp"
#include "cli/progress.hpp"
#include "cli/terminal.hpp"
#include "keepway/pages.hpp"
#include "keepway/text.hpp"

namespace {

using keepway::Error;
using keepway::ErrorKind;
using keepway::cli::Globals;

int fail(const Globals& globals, const Error& error) {
  keepway::cli::Progress::stop();
  if (globals.json) {
    const std::string json = keepway::show::with_lost(keepway::show::error_json(error), globals.lost->list());
    std::fputs(keepway::cli::terminal_json(json).c_str(), stdout);
  }
  keepway::cli::print_error(error);
  return static_cast<int>(exit_of(error.kind()));
}

struct NamedCommand {
  std::string_view name;
  void (*add)(keepway::cli::Command, Globals&);
};
constexpr auto commands = std::to_array<NamedCommand>({
    {"init", keepway::cli::add_init},           {"enroll", keepway::cli::add_enroll},
    {"status", keepway::cli::add_status},       {"inspect", keepway::cli::add_inspect},
    {"intake", keepway::cli::add_intake},       {"pile", keepway::cli::add_pile},
    {"history", keepway::cli::add_history},     {"changes", keepway::cli::add_changes},
    {"when", keepway::cli::add_when},           {"show", keepway::cli::add_show},
    {"restore", keepway::cli::add_restore},     {"confirm", keepway::cli::add_confirm},
    {"mark", keepway::cli::add_mark},           {"withdraw", keepway::cli::add_withdraw},
    {"correct", keepway::cli::add_correct},     {"trial", keepway::cli::add_trial},
    {"twin", keepway::cli::add_twin},           {"report", keepway::cli::add_report},
    {"view", keepway::cli::add_view},           {"counter", keepway::cli::add_counter},
    {"sheet", keepway::cli::add_sheet},         {"reasons", keepway::cli::add_reasons},
    {"names", keepway::cli::add_names},         {"battery", keepway::cli::add_battery},
    {"survey", keepway::cli::add_survey},       {"try", keepway::cli::add_try},
    {"slots", keepway::cli::add_slots},         {"sync", keepway::cli::add_sync},
    {"clashes", keepway::cli::add_clashes},     {"hooks", keepway::cli::add_hooks},
    {"tidy", keepway::cli::add_tidy},           {"audit", keepway::cli::add_audit},
    {"hook", keepway::cli::add_hook},           {"git-diff", keepway::cli::add_git_diff},
    {"git-merge", keepway::cli::add_git_merge}, {"help", keepway::cli::add_help},
    {"manual", keepway::cli::add_manual},
});

// The word where a command is, behind options of all commands; empty behind any other.
std::string_view first_word(int argc, char** argv) {
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    if (!word.starts_with('-')) return word;
    if (word == "--shop") {
      ++i;
    } else if (word != "--json" && word != "--no-color" && !word.starts_with("--shop=")) {
      break;
    }
  }
  return {};
}

// The command asked for alone, where it is clear which that is: making the parsers of all thirty takes as
// long as a small one takes for its work.
void add_commands(CLI::App& app, Globals& globals, std::string_view word) {
  for (const NamedCommand& command : commands) {
    const bool of_all = word == "manual" || word == "help";  // these speak of the other commands
    if (word == command.name && !of_all) return command.add(keepway::cli::Command(&app), globals);
  }
  for (const NamedCommand& command : commands) command.add(keepway::cli::Command(&app), globals);
}

std::string version(bool full) {
  std::string line = "keepway " KEEPWAY_VERSION;
  if (!full) return line;
  const keepway::show::EmbeddedWork charts = keepway::show::page_charts();
  return fmt::format("{}\n\nThe pages draw their charts with {} {}, under this licence:\n\n{}", line,
                     charts.name, charts.version, charts.license);
}

int run(int argc, char** argv) {
  Globals globals;
  CLI::App app{
      "keepway keeps the memory of machine tools: it takes a backup in, says what it is worth, explains\n"
      "what changed and when, and puts any past state back byte for byte.",
      "keepway"};
  bool full = false;
  CLI::Option* with_licenses =
      app.add_flag("--full", full, "With --version: also the licence of what the pages embed");
  with_licenses->needs(app.set_version_flag(
      "--version", [&full] { return version(full); }, "Print the version"));
  app.add_option("--shop", globals.shop,
                 "The shop's folder (else $KEEPWAY_SHOP, else the nearest folder with shop.toml)")
      ->type_name("DIR");
  app.add_flag("--json", globals.json, "Answer in JSON, with a versioned schema");
  app.add_flag("--no-color", globals.no_color, "No colour, as with NO_COLOR in the environment");
  app.require_subcommand(1);
  app.footer(
      "Exit codes: 0 done · 1 done, and there is something to look at · 2 wrong usage · 3 bad input ·\n"
      "4 the store or the disk failed · 5 refused for safety\n"
      "Help on one command, with an example: keepway COMMAND --help · The guide: keepway help");
  add_commands(app, globals, first_word(argc, argv));
  try {
    // Not a command of the parser's: the words that follow are somebody's unfinished ones.
    if (argc > 2 && std::string_view(argv[1]) == "complete") {
      for (const std::string& each : keepway::cli::completions(app, {argv + 2, argv + argc}))
        std::puts(each.c_str());
      return 0;
    }
    const keepway::cli::Progress progress;
    keepway::store::Repository::tell_losses([&](const auto& loss) {
      if (!globals.lost->add(loss)) return;
      keepway::cli::Progress::stop();
      keepway::cli::print_error(keepway::cli::error_of(loss));
    });
    app.parse(argc, argv);
    if (!globals.lost->list().empty() && globals.exit == keepway::Exit::done)
      globals.exit = keepway::Exit::look;
    return static_cast<int>(globals.exit);
  } catch (const CLI::Success& wanted) {  // --help, --version
    return app.exit(wanted);
  } catch (const CLI::ParseError& error) {
    if (const auto word = keepway::cli::mistyped(app)) return fail(globals, *word);
    return fail(globals, Error(ErrorKind::usage, error.what(),
                               "see 'keepway --help', or 'keepway COMMAND --help' for an example"));
  } catch (const Error& error) {
    return fail(globals, error);
  } catch (const std::bad_alloc&) {
    return fail(globals, Error(ErrorKind::store, "out of memory",
                               "close other programs, or take in fewer files at once"));
  } catch (const std::exception& error) {
    return fail(globals, Error(ErrorKind::store, error.what(),
                               "nothing was changed; report this as a fault in keepway"));
  }
}

}  // namespace

int main(int argc, char** argv) {
  // A stream that is closed would lend its number to the next file opened: no answer may land in a
  // repository.
  for (int stream = 0; stream <= 2; ++stream) {
    if (::fcntl(stream, F_GETFD) < 0 && ::open("/dev/null", O_RDWR) != stream) return 4;
  }
  return run(argc, argv);
}
