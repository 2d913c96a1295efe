// The command line's parser, without its library's header.
//
// Motivation: CLI11 is a header alone, and each file that includes it takes seconds to compile. The files of
// the commands see these two handles; parser.cpp is where they meet the library. Both are plain pointers to
// what the parser owns; `->` reaches their members, as with the library's own.
#pragma once

#include <cstddef>
#include <functional>
#include <initializer_list>
#include <optional>
#include <string>
#include <vector>

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace keepway::cli {

class Option {
 public:
  explicit Option(CLI::Option* option) : option_(option) {}
  const Option* operator->() const { return this; }
  [[nodiscard]] CLI::Option* get() const { return option_; }

  Option required() const;
  Option type_name(const std::string& name) const;
  // The value must be one of these, which help and completion show.
  Option one_of(std::initializer_list<const char*> words) const;
  Option between(std::size_t least, std::size_t most) const;
  // For options that mean nothing when empty, as in `--to "$UNSET"`: an empty folder name is the current one.
  Option filled() const;
  Option expected(int count) const;
  Option excludes(Option other) const;
  Option needs(Option other) const;
  [[nodiscard]] std::size_t count() const;

 private:
  CLI::Option* option_;
};

class Command {
 public:
  explicit Command(CLI::App* app) : app_(app) {}
  const Command* operator->() const { return this; }
  [[nodiscard]] CLI::App& get() const { return *app_; }

  // The variable is written when the command line is parsed, and must live until the command has run.
  Option add_option(const std::string& name, std::string& value, const std::string& help) const;
  Option add_option(const std::string& name, std::vector<std::string>& values, const std::string& help) const;
  Option add_option(const std::string& name, std::optional<std::string>& value,
                    const std::string& help) const;
  Option add_option(const std::string& name, std::optional<int>& value, const std::string& help) const;
  Option add_option(const std::string& name, int& value, const std::string& help) const;
  Option add_option(const std::string& name, std::size_t& value, const std::string& help) const;
  Option add_flag(const std::string& name, bool& value, const std::string& help) const;
  Option add_flag_callback(const std::string& name, std::function<void()> act, const std::string& help) const;
  void callback(std::function<void()> act) const;
  void group(const std::string& name) const;  // "": not shown in help
  void require_subcommand(int least) const;
  // Whether people may give this word below it.
  [[nodiscard]] bool has_command(const std::string& name) const;

 private:
  CLI::App* app_;
};

// A command with its one-line purpose and an example that its help shows. Global options may follow it.
Command command(Command above, const std::string& name, const std::string& purpose,
                const std::string& example);

}  // namespace keepway::cli
