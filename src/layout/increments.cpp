// What a number without a decimal point means: `point`, `least_increment` and `increment_of`.
#include <fmt/format.h>

#include <algorithm>

#include "layout/source.hpp"

namespace keepway {

const Decimal* least_increment(const Source& source, Units units, const std::string& from) {
  const Increment* increment = source.increment ? &*source.increment : nullptr;
  if (!source.increment_of.empty()) {
    const auto own = source.increment_of.find(from);
    if (own != source.increment_of.end()) increment = &own->second;
  }
  if (increment == nullptr) return nullptr;
  const std::optional<Decimal>& value = increment->in(units);
  return value ? &*value : nullptr;
}

const Decimal* word_increment(const Source& source, Units units, char letter) {
  constexpr std::string_view by_default = "XYZUVWABCIJKRQ";
  const std::string from(1, letter);
  const std::string_view letters =
      source.increment_letters.empty() ? by_default : std::string_view(source.increment_letters);
  const bool counted = letters.find(letter) != std::string_view::npos || source.increment_of.contains(from);
  return counted ? least_increment(source, units, from) : nullptr;
}

namespace layout {
namespace {

Increment parse_increment(const Form& form, std::string_view key, const toml::node& node) {
  Increment increment;
  if (const toml::table* table = node.as_table()) {
    Form inner(*table, form.file(), std::string(key));
    if (const toml::node* inch = inner.any("inch")) increment.inch = exact(form.file(), *inch, "inch");
    if (const toml::node* mm = inner.any("mm")) increment.mm = exact(form.file(), *mm, "mm");
    inner.finish();
  } else {
    increment.inch = increment.mm = exact(form.file(), node, key);
  }
  for (const auto& value : {increment.inch, increment.mm}) {
    if (value && (value->is_zero() || value->is_negative())) {
      form.fail(key, "the least increment is not above zero", "write it as in \"0.0001\"");
    }
  }
  return increment;
}

// The letter or column that an increment is of, as fields have it.
std::string need_counted(const Form& form, const Source& source, std::string_view name) {
  std::string known(name);
  if (source.reader == ReaderKind::blocks || source.reader == ReaderKind::words) {
    if (known.size() == 1 && known[0] >= 'a' && known[0] <= 'z') known[0] = static_cast<char>(known[0] - 32);
    if (known.size() != 1 || known[0] < 'A' || known[0] > 'Z') {
      form.fail("increment_of", fmt::format("'{}' in increment_of is not a letter", escape(name)),
                "write { A = \"0.001\" }");
    }
    if (source.reader == ReaderKind::blocks) {
      if (std::string_view("GMNO").find(known[0]) == std::string_view::npos) return known;
      form.fail("increment_of", fmt::format("{} words are no values and count in nothing", known),
                "name a letter of a value, such as X or F");
    }
  }
  for (const RowRule& rule : source.rows) {
    for (const Field& field : rule.fields) {
      if (field.from == known && (field.kind == FieldKind::number || field.kind == FieldKind::any))
        return known;
    }
  }
  form.fail("increment_of", fmt::format("'{}' in increment_of is not a field of kind number", escape(name)),
            "name a letter or column that fields take a number from");
}

}  // namespace

void parse_increments(Form& form, Source& source) {
  if (const auto point = form.text("point")) {
    if (*point != "counts" && *point != "free") {
      form.fail("point", fmt::format("point is '{}'", escape(*point)), "use one of: counts, free");
    }
    if (*point == "free") source.point = Point::free;
  }
  if (const toml::node* node = form.any("least_increment")) {
    source.increment = parse_increment(form, "least_increment", *node);
  }
  if (const toml::table* own = form.table("increment_of")) {
    for (const auto& [name, node] : *own) {
      source.increment_of[need_counted(form, source, name.str())] =
          parse_increment(form, "increment_of", node);
    }
  }
  if (source.point == Point::free && (source.increment || !source.increment_of.empty())) {
    form.fail("point",
              "point is \"free\", and a least increment is given: one says that numbers without a "
              "point count otherwise, one that they do not",
              "leave one of the two out");
  }
}

}  // namespace layout
}  // namespace keepway
