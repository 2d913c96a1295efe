// The row rules of a source: what makes a row an item.
#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "layout/source.hpp"

namespace keepway::layout {
namespace {

bool is_letter(std::string_view text) {
  return text.size() == 1 && ((text[0] >= 'A' && text[0] <= 'Z') || (text[0] >= 'a' && text[0] <= 'z'));
}

// "g10 L02" as canonical words: "G10", "L2".
std::vector<std::string> parse_match(const Form& form, std::string_view text) {
  std::vector<std::string> out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (word.empty()) continue;
    const std::optional<std::string> number =
        word.size() == 1 ? std::string() : canonical_number(word.substr(1));
    if (!is_letter(word.substr(0, 1)) || !number) {
      form.fail("match", fmt::format("'{}' in match is not a word", escape(word)),
                "write letters with their numbers, separated by blanks: \"G10 L2\"");
    }
    out.push_back(upper(word.substr(0, 1)) + *number);
  }
  return out;
}

// What a name in `fields`, `rename` or an address's braces may be, by the source's reader.
std::string need_part(const Form& form, std::string_view key, const Source& source, std::string_view name) {
  if (source.reader == ReaderKind::words) {
    if (is_letter(name)) return upper(name);
    if (name == "part" && !source.part.before.empty() && key != "fields") return std::string(name);
    form.fail(key, fmt::format("'{}' in {} is not a letter", escape(name), key),
              "words have one letter each");
  }
  std::vector<std::string> known;
  if (source.reader == ReaderKind::columns) {
    for (const Column& column : source.columns) known.push_back(column.name);
  } else if (source.reader == ReaderKind::sections) {
    known = {"part", "key"};
    if (key == "fields") known = {"value"};
  } else {
    known = {key == "fields" ? "value" : "key"};
    if (source.shape.letter && key != "fields") known.emplace_back("letter");
  }
  if (!source.part.before.empty() && key != "fields") known.emplace_back("part");
  if (std::find(known.begin(), known.end(), name) == known.end()) {
    form.fail(key, fmt::format("'{}' in {} is not read by {}", escape(name), key, reader_name(source.reader)),
              fmt::format("use one of: {}", fmt::join(known, ", ")));
  }
  return std::string(name);
}

Field parse_field(const Form& form, const Source& source, std::string_view from, const toml::node& node) {
  Field field;
  field.from = need_part(form, "fields", source, from);
  if (const auto* name = node.as_string()) {
    field.name = name->get();
    return field;
  }
  const toml::table* table = node.as_table();
  if (table == nullptr) {
    fail(form.file(), node, fmt::format("the field of {} is neither text nor a table", escape(from)),
         "write { X = \"X\" } or { P = { name = \"pocket\", kind = \"whole\" } }");
  }
  Form inner(*table, form.file(), "a field");
  field.name = inner.text("name").value_or("");
  field.kind = parse_field_kind(inner, field.kind);
  inner.finish();
  return field;
}

void parse_rename(const Form& form, const Source& source, const toml::table& table, RowRule& rule) {
  for (const auto& [part, node] : table) {
    const toml::table* names = node.as_table();
    if (names == nullptr) {
      fail(form.file(), node, "rename holds no table for this part",
           "write { P = { 1 = \"G54\", 2 = \"G55\" } }");
    }
    auto& map = rule.rename[need_part(form, "rename", source, part.str())];
    for (const auto& [value, name] : *names) {
      const auto* text = name.as_string();
      if (text == nullptr || text->get().empty()) {
        fail(form.file(), name, "a new name is not text", "write names between quotation marks");
      }
      const std::string_view spelled = value.str();
      map[canonical_number(spelled).value_or(std::string(spelled))] = text->get();
    }
  }
}

}  // namespace

FieldKind parse_field_kind(Form& form, FieldKind usual) {
  const auto name = form.text("kind");
  if (!name) return usual;
  if (*name == "number") return FieldKind::number;
  if (*name == "whole") return FieldKind::whole;
  if (*name == "text") return FieldKind::text;
  if (*name == "any") return FieldKind::any;
  form.fail("kind", fmt::format("'{}' is not a kind", escape(*name)), "use number, whole, text or any");
}

std::vector<std::string> address_parts(const Form& form, std::string_view address) {
  std::vector<std::string> out;
  for (std::size_t at = 0; at < address.size();) {
    const std::size_t open = address.find_first_of("{}", at);
    if (open == std::string_view::npos) break;
    const std::size_t close = address.find_first_of("{}", open + 1);
    if (address[open] == '}' || close == std::string_view::npos || address[close] == '{' ||
        close == open + 1) {
      form.fail("address", fmt::format("the braces in '{}' do not pair", escape(address)),
                "write the name of a letter or column between each pair: \"work/{P}\"");
    }
    out.emplace_back(address.substr(open + 1, close - open - 1));
    at = close + 1;
  }
  return out;
}

RowRule parse_row(Form& form, const Source& source) {
  RowRule rule;
  if (source.reader == ReaderKind::words) {
    for (const std::string& text : form.texts("match")) {
      for (std::string& word : parse_match(form, text)) rule.match.push_back(std::move(word));
    }
  }
  rule.address = form.text("address").value_or("");
  for (const std::string& part : address_parts(form, rule.address)) {
    const std::string known = need_part(form, "address", source, part);
    if (known == part) continue;
    const std::string spelled = "{" + part + "}";  // a letter in lower case
    rule.address.replace(rule.address.find(spelled), spelled.size(), "{" + known + "}");
  }
  if (const toml::table* rename = form.table("rename")) parse_rename(form, source, *rename, rule);
  if (const toml::table* fields = form.table("fields")) {
    if (fields->size() > max_parts) form.fail("fields", "there are over 256 fields", "name fewer fields");
    for (const auto& [from, node] : *fields)
      rule.fields.push_back(parse_field(form, source, from.str(), node));
    const auto twice = [&](const Field& a) {
      return std::count_if(rule.fields.begin(), rule.fields.end(),
                           [&](const Field& b) { return a.from == b.from || a.name == b.name; }) > 1;
    };
    if (std::any_of(rule.fields.begin(), rule.fields.end(), twice)) {
      form.fail("fields", "two fields have one name or come from one place", "give each field its own");
    }
  }
  if (std::any_of(rule.fields.begin(), rule.fields.end(),
                  [](const Field& f) { return f.name == "unread" || is_unread(f.name); })) {
    form.fail("fields", "a field is named unread", "choose another name: unread rows have that one");
  }
  const bool has_address = source.reader == ReaderKind::assign || source.reader == ReaderKind::sections;
  if (rule.address.empty() && !has_address && !rule.fields.empty() &&
      std::any_of(rule.fields.begin(), rule.fields.end(), [](const Field& f) { return f.name.empty(); })) {
    form.fail("fields", "a value without a name needs an address", "add address = \"...\"");
  }
  return rule;
}

}  // namespace keepway::layout
