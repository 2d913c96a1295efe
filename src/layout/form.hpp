// One table of a layout file, read strictly: every key is asked for by name, and what nobody asked for
// is an error. Motivation: a misspelt `requierd = true` that is passed over means a backup judged
// complete that is not.
#pragma once

#include <toml++/toml.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/decimal.hpp"
#include "keepway/error.hpp"

namespace keepway::layout {

// Error{input} at a node's place.
[[noreturn]] void fail(const std::string& file, const toml::node& node, const std::string& what,
                       const std::string& remedy);

class Form {
 public:
  // `name` is how messages call the table: "[[source]]".
  Form(const toml::table& table, std::string file, std::string name);

  // Each asks for a key; nullptr or nullopt when it is not there, Error{input} when it has another type.
  const toml::node* any(std::string_view key);
  std::optional<std::string> text(std::string_view key);
  std::optional<bool> yesno(std::string_view key);
  std::optional<std::size_t> count(std::string_view key, std::size_t most);
  std::vector<std::string> texts(std::string_view key);  // one text, or a list of them
  const toml::table* table(std::string_view key);
  const toml::array* tables(std::string_view key);

  std::string need_text(std::string_view key);
  // Error{input} for the first key that was not asked for, with the nearest of those that were.
  void finish() const;
  [[noreturn]] void fail(std::string_view key, const std::string& what, const std::string& remedy) const;

  [[nodiscard]] const std::string& file() const { return file_; }

 private:
  const toml::table& table_;
  std::string file_;
  std::string name_;
  std::vector<std::string> asked_;
};

// An exact decimal: TOML text. Floats are refused, since TOML readers hold them in binary.
Decimal exact(const std::string& file, const toml::node& node, std::string_view key);

}  // namespace keepway::layout
