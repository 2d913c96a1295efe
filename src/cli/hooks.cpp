// keepway hooks puts Git's hooks in place; keepway hook is what they call.
#include "keepway/hooks.hpp"

#include <fmt/format.h>

#include <fstream>
#include <iostream>
#include <iterator>
#include <memory>

#include "cli/command.hpp"
#include "cli/hooks.hpp"
#include "cli/terminal.hpp"
#include "keepway/sync.hpp"

namespace keepway::cli {
namespace {

constexpr std::size_t max_message = 16U << 20;

std::string read_all(std::istream& in, const std::string& what) {
  std::string text;
  for (auto it = std::istreambuf_iterator<char>(in); it != std::istreambuf_iterator<char>(); ++it) {
    if (text.size() == max_message) throw Error(ErrorKind::input, what + " is too large", "make it smaller");
    text += *it;
  }
  return text;
}

std::string variable(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? "" : value;
}

// Git shows what a hook writes to standard error, on the pushing side too.
void tell(Globals& globals, const std::vector<Fault>& faults, const char* refused, const char* remedy) {
  if (faults.empty()) return;
  put(stderr, fmt::format("keepway: {}\n", refused));
  for (const Fault& fault : faults) {
    const std::string place = fault.place.text();
    put(stderr, fmt::format("  {}{}{}\n", place, place.empty() ? "" : ": ", fault.what));
  }
  if (faults.size() == max_faults) put(stderr, "  (and maybe more)\n");
  put(stderr, fmt::format("  what to do: {}\n", remedy));
  globals.exit = Exit::refused;
}

void on_message(Globals& globals, const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  const std::string text = read_all(in, file);
  std::vector<Fault> faults;
  const std::string kept =
      check_message(text, variable("GIT_AUTHOR_NAME"), variable("GIT_AUTHOR_DATE"), faults);
  tell(globals, faults,
       "this amended commit is refused: it changes a backup's originals, which are what came off the machine",
       "amend the message alone; take another backup in with 'keepway intake'");
  if (kept == text) return;
  std::ofstream out(file, std::ios::binary | std::ios::trunc);
  out << kept;
  out.close();
  if (!out)
    throw Error(ErrorKind::store, "the message could not be written", "check that the disk is not full",
                {file});
}

std::string put_line_in_order(Globals& globals, const std::filesystem::path& repository) {
  const InOrder done = put_in_order(repository);
  std::string text = done.rebased == 0
                         ? "Nothing to put in order: every backup is on the branch.\n"
                         : fmt::format("Put in order: {} commit(s) put back on the branch.\n", done.rebased);
  for (const std::string& each : done.attention) text += fmt::format("  ! {}\n", escape(each));
  if (!done.attention.empty()) globals.exit = std::max(globals.exit, Exit::look);
  return text;
}

}  // namespace

std::vector<std::string> put_hooks(const std::filesystem::path& repository, bool server) {
  std::error_code failed;
  const auto program = std::filesystem::read_symlink("/proc/self/exe", failed);
  return install_hooks({repository, server, failed ? "keepway" : program.string()});
}

void add_hooks(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    bool server = false;
    bool in_order = false;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "hooks", "Put Git's hooks and drivers in place for a machine's repository",
                         "keepway hooks mill-1\n  keepway hooks --server /srv/git/mill-1.git\n"
                         "  keepway hooks mill-1 --in-order");
  made->add_option("MACHINE", options->machine, "The machine, or a repository's folder")->required();
  const Option server = made->add_flag("--server", options->server,
                                       "For a repository that others push to: check what they push");
  made->add_flag(
          "--in-order", options->in_order,
          "After a rebase or cherry-pick: put the backups that Git rewrote back on the branch, as they were "
          "taken in")
      ->excludes(server);
  made->callback([&globals, options] {
    std::filesystem::path repository = options->machine;
    if (options->machine.find('/') == std::string::npos && !options->server) {
      repository = open_shop(globals).machine(options->machine).repository().folder();
    }
    const auto written = put_hooks(repository, options->server);
    std::string text =
        fmt::format("Hooks in place in {}: {}.\n", repository.string(), fmt::join(written, ", "));
    if (options->in_order) text += put_line_in_order(globals, repository);
    const std::size_t rewritten = options->server ? 0 : Machine::open(repository).rewritten().size();
    if (rewritten > 0) {
      globals.exit = std::max(globals.exit, Exit::look);
      text +=
          rewritten == 1
              ? "! 1 commit on the branch was rewritten by Git (rebase or cherry-pick), and is not a backup\n"
              : fmt::format(
                    "! {} commits on the branch were rewritten by Git (rebase or cherry-pick), and are not "
                    "backups\n",
                    rewritten);
      if (!options->in_order)
        text += fmt::format("  put the branch in order: keepway hooks {} --in-order\n", options->machine);
    }
    print(globals, show::done(text, {{"command", "hooks"},
                                     {"repository", repository.string()},
                                     {"hooks", fmt::format("{}", fmt::join(written, " "))},
                                     {"rewritten", std::to_string(rewritten)}}));
  });
}

void add_hook(Command app, Globals& globals) {
  struct Options {
    std::string name;
    std::string file;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "hook", "For Git to call: check a commit, a message or a push", "keepway hook pre-commit");
  made->group("");  // not for people, so not in the list of commands
  made->add_option("NAME", options->name, "The hook")
      ->required()
      ->one_of({"pre-commit", "commit-msg", "pre-receive"});
  made->add_option("FILE", options->file, "What Git gives it");
  made->callback([&globals, options] {
    if (options->name == "pre-commit") {
      tell(globals, check_commit(),
           "this commit is refused: the record would no longer show what came off the machine",
           "undo the edit (git restore --staged --worktree FILE), or take a backup in with 'keepway intake'");
    } else if (options->name == "commit-msg") {
      on_message(globals, options->file);
    } else {
      tell(globals, check_push(read_all(std::cin, "the push")), "this push is refused",
           "run 'keepway sync', which never rewrites history; see 'git log' for commits made by hand");
    }
  });
}

}  // namespace keepway::cli
