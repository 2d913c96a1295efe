#include <fcntl.h>
#include <fmt/format.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif

#include <array>
#include <exception>

#include "cli/command.hpp"
#include "cli/progress.hpp"

namespace {

using keepway::Error;
using keepway::Exit;
using keepway::cli::Globals;

int fail(const Globals& globals, const Error& error) {
  keepway::cli::Progress::stop();
  if (globals.json) {
    std::fputs(keepway::show::error_json(error).c_str(), stdout);
  }
  keepway::cli::print_error(error);
  return static_cast<int>(error.code());
}

// Memory that is given back to the system has to be cleared page by page when it is taken again, and each
// backup of a drawer takes what the one before gave back.
void keep_memory() {
#ifdef __GLIBC__
  mallopt(M_MMAP_THRESHOLD, 64 << 20);
  mallopt(M_TRIM_THRESHOLD, 256 << 20);
#endif
}

int run(int argc, char** argv) {
  keep_memory();
  Globals globals;
  CLI::App app{
      "keepway keeps the memory of machine tools: it takes a backup in, says what it is worth, explains\n"
      "what changed and when, and puts any past state back byte for byte.",
      "keepway"};
  app.set_version_flag("--version", "keepway " KEEPWAY_VERSION, "Print the version");
  app.add_option("--shop", globals.shop,
                 "The shop's folder (else $KEEPWAY_SHOP, else the nearest folder with shop.toml)")
      ->type_name("DIR");
  app.add_flag("--json", globals.json, "Answer in JSON, with a versioned schema");
  app.add_flag("--no-color", globals.no_color, "No colour, as with NO_COLOR in the environment");
  app.require_subcommand(1);
  app.footer(
      "Exit codes: 0 done · 1 done, and there is something to look at · 2 wrong usage · 3 bad input ·\n"
      "4 the store or the disk failed · 5 refused for safety\n"
      "Help on one command, with an example: keepway COMMAND --help");
  using Add = void (*)(CLI::App&, Globals&);
  for (const Add add : std::to_array<Add>(
           {keepway::cli::add_found,    keepway::cli::add_enroll,    keepway::cli::add_status,
            keepway::cli::add_inspect,  keepway::cli::add_intake,    keepway::cli::add_pile,
            keepway::cli::add_history,  keepway::cli::add_changes,   keepway::cli::add_when,
            keepway::cli::add_show,     keepway::cli::add_restore,   keepway::cli::add_confirm,
            keepway::cli::add_mark,     keepway::cli::add_trial,     keepway::cli::add_twin,
            keepway::cli::add_report,   keepway::cli::add_view,      keepway::cli::add_sheet,
            keepway::cli::add_names,    keepway::cli::add_battery,   keepway::cli::add_survey,
            keepway::cli::add_slots,    keepway::cli::add_sync,      keepway::cli::add_hooks,
            keepway::cli::add_tidy,     keepway::cli::add_audit,     keepway::cli::add_hook,
            keepway::cli::add_git_diff, keepway::cli::add_git_merge, keepway::cli::add_manual})) {
    add(app, globals);
  }
  try {
    // Not a command of the parser's: the words that follow are somebody's unfinished ones.
    if (argc > 2 && std::string_view(argv[1]) == "complete") {
      for (const std::string& each : keepway::cli::completions(app, {argv + 2, argv + argc}))
        std::puts(each.c_str());
      return 0;
    }
    const keepway::cli::Progress progress;
    app.parse(argc, argv);
    return static_cast<int>(globals.exit);
  } catch (const CLI::Success& wanted) {  // --help, --version
    return app.exit(wanted);
  } catch (const CLI::ParseError& error) {
    if (const auto word = keepway::cli::mistyped(app)) return fail(globals, *word);
    return fail(globals, Error(Exit::usage, error.what(),
                               "see 'keepway --help', or 'keepway COMMAND --help' for an example"));
  } catch (const Error& error) {
    return fail(globals, error);
  } catch (const std::bad_alloc&) {
    return fail(globals,
                Error(Exit::store, "out of memory", "close other programs, or take in fewer files at once"));
  } catch (const std::exception& error) {
    return fail(globals,
                Error(Exit::store, error.what(), "nothing was changed; report this as a fault in keepway"));
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
