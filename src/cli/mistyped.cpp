// What a word that is no command was perhaps meant to be.
#include <fmt/format.h>

#include <algorithm>

#include "cli/command.hpp"

namespace keepway::cli {
namespace {

// How many letters must be put in, left out, exchanged or turned round (optimal string alignment).
std::size_t distance(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> steps(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        steps[i][j] = i + j;
        continue;
      }
      const std::size_t exchanged = steps[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0U : 1U);
      steps[i][j] = std::min({steps[i - 1][j] + 1, steps[i][j - 1] + 1, exchanged});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        steps[i][j] = std::min(steps[i][j], steps[i - 2][j - 2] + 1);
    }
  }
  return steps[a.size()][b.size()];
}

std::string nearest(const std::string& word, const std::vector<std::string>& known) {
  constexpr std::size_t longest = 40;  // no command's name; and the work is its square
  std::size_t least = word.size() < 4 ? 1 : 2;
  std::string found;
  if (word.size() > longest) return found;
  for (const std::string& each : known) {
    const std::size_t far = distance(word, each);
    if (far > least || (far == least && !found.empty())) continue;
    least = far;
    found = each;
  }
  return found;
}

}  // namespace

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
  const std::string near = nearest(word, known);
  const std::string all = fmt::format("'{} --help' lists {}", path, option ? "the options" : "the commands");
  return Error(Exit::usage,
               fmt::format("'{}' is no {} of {}", escape(word), option ? "option" : "command", path),
               near.empty() ? all : fmt::format("did you mean '{}'? {}", near, all));
}

}  // namespace keepway::cli
