#include "layout/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <utility>

#include "keepway/state.hpp"
#include "keepway/text.hpp"

namespace keepway::layout {
namespace {

std::string kind_name(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::table:
      return "a table";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::string:
      return "text";
    case toml::node_type::integer:
      return "a whole number";
    case toml::node_type::floating_point:
      return "a number with a point";
    case toml::node_type::boolean:
      return "true or false";
    default:
      return "a date or time";
  }
}

}  // namespace

void fail(const std::string& file, const toml::node& node, const std::string& what,
          const std::string& remedy) {
  throw Error(ErrorKind::input, what, remedy, Place{file, node.source().begin.line});
}

Form::Form(const toml::table& table, std::string file, std::string name)
    : table_(table), file_(std::move(file)), name_(std::move(name)) {}

const toml::node* Form::any(std::string_view key) {
  asked_.emplace_back(key);
  return table_.get(key);
}

void Form::fail(std::string_view key, const std::string& what, const std::string& remedy) const {
  const toml::node* node = table_.get(key);
  layout::fail(file_, node != nullptr ? *node : static_cast<const toml::node&>(table_), what, remedy);
}

std::optional<std::string> Form::text(std::string_view key) {
  const toml::node* node = any(key);
  if (node == nullptr) return std::nullopt;
  if (!node->is_string()) {
    fail(key, fmt::format("{} holds {}", key, kind_name(*node)), "write text between quotation marks");
  }
  return node->as_string()->get();
}

std::optional<bool> Form::yesno(std::string_view key) {
  const toml::node* node = any(key);
  if (node == nullptr) return std::nullopt;
  if (!node->is_boolean())
    fail(key, fmt::format("{} holds {}", key, kind_name(*node)), "write true or false");
  return node->as_boolean()->get();
}

std::optional<std::size_t> Form::count(std::string_view key, std::size_t most) {
  const toml::node* node = any(key);
  if (node == nullptr) return std::nullopt;
  const auto* number = node->as_integer();
  if (number == nullptr || number->get() < 0 || static_cast<std::uint64_t>(number->get()) > most) {
    fail(key, fmt::format("{} is not a count", key), fmt::format("write a whole number from 0 to {}", most));
  }
  return static_cast<std::size_t>(number->get());
}

std::vector<std::string> Form::texts(std::string_view key) {
  std::vector<std::string> out;
  const toml::node* node = any(key);
  if (node == nullptr) return out;
  if (const auto* one = node->as_string()) {
    out.push_back(one->get());
    return out;
  }
  const toml::array* list = node->as_array();
  if (list == nullptr) {
    fail(key, fmt::format("{} holds {}", key, kind_name(*node)),
         "write text, or a list of texts in brackets");
  }
  for (const toml::node& element : *list) {
    const auto* one = element.as_string();
    if (one == nullptr) {
      layout::fail(file_, element, fmt::format("{} lists {}", key, kind_name(element)),
                   "write text between quotation marks");
    }
    out.push_back(one->get());
  }
  return out;
}

const toml::table* Form::table(std::string_view key) {
  const toml::node* node = any(key);
  if (node == nullptr) return nullptr;
  if (!node->is_table()) {
    fail(key, fmt::format("{} holds {}", key, kind_name(*node)), "write a table in braces: { key = value }");
  }
  return node->as_table();
}

const toml::array* Form::tables(std::string_view key) {
  const toml::node* node = any(key);
  if (node == nullptr) return nullptr;
  const toml::array* list = node->as_array();
  if (list == nullptr) {
    fail(key, fmt::format("{} holds {}", key, kind_name(*node)), "write tables that each begin with [[...]]");
  }
  for (const toml::node& element : *list) {
    if (!element.is_table()) {
      layout::fail(file_, element, fmt::format("{} lists {}", key, kind_name(element)), "list tables only");
    }
  }
  return list;
}

std::string Form::need_text(std::string_view key) {
  std::optional<std::string> value = text(key);
  if (!value) {
    layout::fail(file_, table_, fmt::format("{} has no {}", name_, key),
                 fmt::format("add {} = \"...\"", key));
  }
  return *std::move(value);
}

void Form::finish() const {
  for (const auto& [key, node] : table_) {
    if (std::find(asked_.begin(), asked_.end(), key.str()) != asked_.end()) continue;
    const std::string near = nearest_word(key.str(), asked_);
    const std::string remedy = near.empty() ? fmt::format("known keys: {}", fmt::join(asked_, ", "))
                                            : fmt::format("did you mean {}?", near);
    throw Error(ErrorKind::input, fmt::format("{} has no key '{}'", name_, escape(key.str())), remedy,
                Place{file_, key.source().begin.line});
  }
}

Decimal exact(const std::string& file, const toml::node& node, std::string_view key) {
  if (node.is_floating_point()) {
    fail(file, node, fmt::format("{} is written as a binary number", key),
         "write it between quotation marks, \"0.0001\": numbers of a machine are kept exactly");
  }
  std::optional<Decimal> value;
  if (const auto* text = node.as_string()) value = Decimal::parse(text->get());
  if (const auto* whole = node.as_integer()) value = Decimal::parse(std::to_string(whole->get()));
  if (!value) {
    fail(file, node, fmt::format("{} is not a decimal number", key),
         "write digits with at most one point between quotation marks: \"0.0001\"");
  }
  return *value;
}

}  // namespace keepway::layout
