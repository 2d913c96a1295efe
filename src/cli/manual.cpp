// The manual page, from the same texts as --help: neither can be forgotten.
#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "cli/command.hpp"
#include "keepway/document.hpp"

namespace keepway::cli {
namespace {

using show::roff;

std::string usage(const CLI::App& app, const std::string& path) {
  std::string out = fmt::format(".B {}\n", roff(path));
  std::string rest;
  bool options = false;
  for (const CLI::Option* option : app.get_options()) {
    if (!option->get_positional()) {
      options = true;
      continue;
    }
    std::string name = "\\fI" + roff(option->get_name(true)) + "\\fR";
    if (option->get_items_expected_max() > 1) name += "...";
    rest += option->get_required() ? name + " " : "[" + name + "] ";
  }
  if (options) rest += "[\\fIOPTION\\fR]...";
  return out + rest + "\n";
}

void add_options(const CLI::App& app, std::string& out) {
  for (const CLI::Option* option : app.get_options()) {
    const bool positional = option->get_positional();
    const bool help = app.get_parent() != nullptr && option->check_name("--help");  // every command has it
    if (option->get_group().empty() || help) continue;
    const std::string value = positional || option->get_items_expected_max() == 0
                                  ? std::string()
                                  : " \\fI" + roff(option->get_type_name()) + "\\fR";
    const std::string name = positional ? option->get_name(true) : option->get_name(false, true);
    out += fmt::format(".TP\n\\fB{}\\fR{}\n{}\n", roff(name), value, roff(option->get_description()));
  }
}

void add_command(const CLI::App& app, const std::string& path, std::string& out) {
  out += fmt::format(".SS \"{}\"\n{}\n.PP\n{}.PP\n{}.\n", roff(path), "", usage(app, path),
                     roff(app.get_description()));
  add_options(app, out);
  const std::string footer = app.get_footer();
  if (!footer.empty()) out += fmt::format(".PP\n.nf\n{}\n.fi\n", roff(footer));
  for (const CLI::App* sub : app.get_subcommands([](const CLI::App*) { return true; })) {
    if (!sub->get_group().empty()) add_command(*sub, path + " " + sub->get_name(), out);
  }
}

std::string manual(const CLI::App& app) {
  std::string out = fmt::format(
      ".TH KEEPWAY 1 \"\" \"keepway {}\" \"User Commands\"\n.SH NAME\nkeepway \\- keeps the memory of "
      "machine tools\n"
      ".SH SYNOPSIS\n.B keepway\n\\fICOMMAND\\fR [\\fIARGUMENT\\fR]... [\\fIOPTION\\fR]...\n.SH "
      "DESCRIPTION\n{}\n"
      ".PP\nWrong parameters move axes unexpectedly. Compare before you load, clear the machine, and make "
      "the first "
      "move in air with a hand on the emergency stop.\n.SH OPTIONS\nOf every command:\n",
      KEEPWAY_VERSION, roff(app.get_description()));
  add_options(app, out);
  out += ".SH COMMANDS\n";
  for (const CLI::App* sub : app.get_subcommands([](const CLI::App*) { return true; })) {
    if (!sub->get_group().empty()) add_command(*sub, sub->get_name(), out);
  }
  out += ".SH EXIT STATUS\n";
  const std::pair<int, const char*> codes[] = {{0, "done, and nothing to report"},
                                               {1, "done, and there is something to look at"},
                                               {2, "wrong usage"},
                                               {3, "bad input"},
                                               {4, "the store or the disk failed"},
                                               {5, "refused for safety"}};
  for (const auto& [code, what] : codes) out += fmt::format(".TP\n.B {}\n{}\n", code, what);
  out +=
      ".SH ENVIRONMENT\n.TP\n.B KEEPWAY_SHOP\nThe shop's folder, where \\-\\-shop does not name one\n.TP\n.B "
      "NO_COLOR\nNo colour, when it is set to anything\n.SH SEE ALSO\n";
  for (const show::Topic& topic : show::topics()) {
    if (topic.whole_document)
      out += fmt::format(".BR {} ({}),\n", roff("keepway-" + topic.name), topic.manual_section);
  }
  out += ".BR git (1)\n";
  return out;
}

}  // namespace

void add_manual(Command app, Globals& globals) {
  const Command made =
      command(app, "manual", "Print the manual page, as man(7) takes it", "keepway manual | man -l -");
  made->group("");
  made->callback([app, &globals] { print(globals, show::done(manual(app.get()), {{"command", "manual"}})); });
}

}  // namespace keepway::cli
