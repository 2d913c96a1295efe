#include "cli/parser.hpp"

#include <CLI/CLI.hpp>
#include <utility>

namespace keepway::cli {
namespace {

template <typename Value>
Option make(CLI::App& app, const std::string& name, Value& value, const std::string& help) {
  return Option(app.add_option(name, value, help));
}

}  // namespace

Option Option::required() const {
  option_->required();
  return *this;
}

Option Option::type_name(const std::string& name) const {
  option_->type_name(name);
  return *this;
}

Option Option::one_of(std::initializer_list<const char*> words) const {
  option_->check(CLI::IsMember(std::vector<std::string>(words.begin(), words.end())));
  return *this;
}

Option Option::between(std::size_t least, std::size_t most) const {
  option_->check(CLI::Range(least, most));
  return *this;
}

Option Option::filled() const {
  option_->check(CLI::Validator(
      [](std::string& value) { return value.empty() ? std::string("it is empty") : std::string(); }, ""));
  return *this;
}

Option Option::expected(int count) const {
  option_->expected(count);
  return *this;
}

Option Option::excludes(Option other) const {
  option_->excludes(other.option_);
  return *this;
}

Option Option::needs(Option other) const {
  option_->needs(other.option_);
  return *this;
}

std::size_t Option::count() const {
  return option_->count();
}

Option Command::add_option(const std::string& name, std::string& value, const std::string& help) const {
  return make(*app_, name, value, help);
}

Option Command::add_option(const std::string& name, std::vector<std::string>& values,
                           const std::string& help) const {
  return make(*app_, name, values, help);
}

Option Command::add_option(const std::string& name, std::optional<std::string>& value,
                           const std::string& help) const {
  return make(*app_, name, value, help);
}

Option Command::add_option(const std::string& name, std::optional<int>& value,
                           const std::string& help) const {
  return make(*app_, name, value, help);
}

Option Command::add_option(const std::string& name, int& value, const std::string& help) const {
  return make(*app_, name, value, help);
}

Option Command::add_option(const std::string& name, std::size_t& value, const std::string& help) const {
  return make(*app_, name, value, help);
}

Option Command::add_flag(const std::string& name, bool& value, const std::string& help) const {
  return Option(app_->add_flag(name, value, help));
}

Option Command::add_flag_callback(const std::string& name, std::function<void()> act,
                                  const std::string& help) const {
  return Option(app_->add_flag_callback(name, std::move(act), help));
}

void Command::callback(std::function<void()> act) const {
  app_->callback(std::move(act));
}

void Command::group(const std::string& name) const {
  app_->group(name);
}

void Command::require_subcommand(int least) const {
  app_->require_subcommand(least);
}

bool Command::has_command(const std::string& name) const {
  for (const CLI::App* each : app_->get_subcommands([](const CLI::App*) { return true; })) {
    if (each->get_name() == name && !each->get_group().empty()) return true;
  }
  return false;
}

Command command(Command above, const std::string& name, const std::string& purpose,
                const std::string& example) {
  CLI::App* made = above.get().add_subcommand(name, purpose);
  made->footer("Example:\n  " + example);
  made->fallthrough();
  return Command(made);
}

}  // namespace keepway::cli
