// What a word that is no command was perhaps meant to be.
#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "cli/command.hpp"
#include "keepway/text.hpp"

namespace keepway::cli {
std::optional<Error> mistyped(const CLI::App& app) {
  const CLI::App* at = &app;
  std::string path = "keepway";
  for (auto below = at->get_subcommands(); !below.empty(); below = at->get_subcommands()) {
    at = below.back();
    path += ' ' + at->get_name();
  }
  const std::vector<std::string> left = app.remaining(true);
  if (at->get_require_subcommand_min() == 0 || left.empty()) return std::nullopt;
  const std::string word = left.front().substr(0, left.front().find('='));
  const bool option = word.starts_with('-');
  std::vector<std::string> known;
  if (option) {
    for (const CLI::Option* each : at->get_options()) {
      for (const std::string& name : each->get_lnames()) known.push_back("--" + name);
    }
  } else {
    for (const CLI::App* each : at->get_subcommands([](const CLI::App*) { return true; })) {
      if (!each->get_group().empty()) known.push_back(each->get_name());  // others are not for people
    }
  }
  const std::string near = nearest_word(word, known);
  const std::string all = fmt::format("'{} --help' lists {}", path, option ? "the options" : "the commands");
  return Error(ErrorKind::usage,
               fmt::format("{} has no {} '{}'", path, option ? "option" : "command", escape(word)),
               near.empty() ? all : fmt::format("did you mean '{}'? {}", near, all));
}

}  // namespace keepway::cli
