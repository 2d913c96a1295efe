#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"
#include "keepway/document.hpp"
#include "keepway/text.hpp"

namespace keepway::cli {
namespace {

const show::Topic& topic_called(const Command& app, const std::string& name) {
  std::vector<std::string> names;
  for (const show::Topic& topic : show::topics()) {
    if (topic.name == lower(name)) return topic;
    names.push_back(topic.name);
  }
  const std::string what = fmt::format("there is no topic '{}'", escape(name));
  if (app->has_command(name))
    throw Error(ErrorKind::usage, what, fmt::format("it is a command: keepway {} --help", name));
  const std::string near = nearest_word(lower(name), names);
  const std::string all = "'keepway help' lists the topics";
  throw Error(ErrorKind::usage, what, near.empty() ? all : fmt::format("did you mean '{}'? {}", near, all));
}

}  // namespace

void add_help(Command app, Globals& globals) {
  struct Options {
    std::string topic;
    bool manual = false;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "help", "Read the guide, a section of it, or a reference",
                         "keepway help\n  keepway help restore\n  keepway help layout");
  const Option topic =
      made->add_option("TOPIC", options->topic, "What to read; without it, the topics are listed");
  made->add_flag("--man", options->manual, "As a manual page, as man(7) takes it")->needs(topic);
  made->callback([app, &globals, options] {
    if (options->topic.empty()) return print(globals, show::topic_list(show::topics()));
    const show::Topic& found = topic_called(app, options->topic);
    if (!options->manual) return print(globals, show::topic(found, style(globals)));
    const std::string page = show::document_manual(found, KEEPWAY_VERSION);
    print(globals, show::done(page, {{"command", "help"}, {"topic", found.name}, {"manual", page}}));
  });
}

}  // namespace keepway::cli
