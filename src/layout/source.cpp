// One [[source]]: a kind of file and how it is read.
#include "layout/source.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "layout/ranges.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t max_pattern = 256;
constexpr std::size_t max_width = 64 << 10;

template <class T>
struct Named {
  std::string_view name;
  T value;
};

template <class T, std::size_t n>
T choose(const Form& form, std::string_view key, std::string_view word, const Named<T> (&known)[n]) {
  std::vector<std::string> names;
  for (const Named<T>& one : known) {
    if (one.name == word) return one.value;
    names.emplace_back(one.name);
  }
  const std::string near = nearest_word(word, names);
  form.fail(key, fmt::format("{} is '{}'", key, escape(word)),
            near.empty() ? fmt::format("use one of: {}", fmt::join(names, ", "))
                         : fmt::format("did you mean {}?", near));
}

constexpr Named<ReaderKind> readers[] = {{"blocks", ReaderKind::blocks},
                                         {"words", ReaderKind::words},
                                         {"assign", ReaderKind::assign},
                                         {"columns", ReaderKind::columns},
                                         {"sections", ReaderKind::sections}};
constexpr Named<Group> groups[] = {{"parameters", Group::parameters},
                                   {"settings", Group::settings},
                                   {"offsets", Group::offsets},
                                   {"variables", Group::variables},
                                   {"programs", Group::programs}};
constexpr Named<Split> splits[] = {{"blanks", Split::blanks}, {"tab", Split::tab},
                                   {"comma", Split::comma},   {"semicolon", Split::comma},
                                   {"bar", Split::comma},     {"fixed", Split::fixed}};

void parse_files(Form& form, Source& source) {
  source.files = form.texts("files");
  if (source.files.empty()) form.fail("files", "a source has no files", "add files = [\"OFFSETS.TXT\"]");
  for (const std::string& pattern : source.files) {
    const bool clean = std::all_of(pattern.begin(), pattern.end(),
                                   [](char c) { return static_cast<unsigned char>(c) >= ' '; });
    if (pattern.empty() || pattern.size() > max_pattern || !clean) {
      form.fail("files", "a pattern in files is empty, too long or has control bytes",
                fmt::format("write at most {} plain bytes", max_pattern));
    }
  }
}

Column parse_column(const std::string& file, const Source& source, const toml::node& node) {
  Column column;
  const toml::table* table = node.as_table();
  if (const auto* name = node.as_string()) {
    column.name = name->get();
  } else if (table == nullptr) {
    fail(file, node, "a column is neither a name nor a table",
         "write \"pocket\" or { name = \"pocket\", at = 0, width = 4 }");
  } else {
    Form form(*table, file, "a column");
    column.name = form.need_text("name");
    column.kind = parse_field_kind(form, column.kind);
    if (source.split == Split::fixed) {
      column.at = form.count("at", max_width).value_or(0);
      column.width = form.count("width", max_width).value_or(0);
    }
    form.finish();
  }
  if (source.split == Split::fixed && column.width == 0) {
    fail(file, node, fmt::format("column {} has no width", escape(column.name)),
         "fixed columns need { name = ..., at = ..., width = ... }");
  }
  return column;
}

void parse_split(Form& form, Source& source) {
  const std::string split = form.text("split").value_or("blanks");
  constexpr std::string_view signs = "!#$%&*/:;<=>?@\\^_`|~";
  const bool sign = split.size() == 1 && signs.find(split[0]) != std::string_view::npos;
  source.split = sign ? Split::comma : choose(form, "split", split, splits);
  source.separator = sign ? split[0] : split == "semicolon" ? ';' : split == "bar" ? '|' : ',';
  const toml::node* node = form.any("columns");
  const toml::array* list = node == nullptr ? nullptr : node->as_array();
  if (list == nullptr || list->empty()) {
    form.fail("columns", "the columns are not named", "add columns = [\"number\", \"value\"]");
  }
  if (list->size() > max_parts) form.fail("columns", "there are over 256 columns", "name fewer columns");
  for (const toml::node& column : *list) source.columns.push_back(parse_column(form.file(), source, column));
}

void parse_across(Form& form, Source& source) {
  constexpr std::size_t most = 16;
  const auto across = form.count("across", most);
  if (!across) return;
  source.across = *across;
  const bool cells = source.split != Split::fixed && source.split != Split::shape;
  if (*across == 0 || (*across > 1 && !cells)) {
    form.fail("across", "records side by side are parted by blanks or signs",
              fmt::format("say how many there are in a line, 2 to {}, and name the columns of one", most));
  }
}

void parse_columns(Form& form, Source& source) {
  parse_row_shape(form, source);
  if (source.split != Split::shape) parse_split(form, source);
  parse_across(form, source);
  source.carried = form.yesno("carried").value_or(false);
  if (source.carried && source.split != Split::fixed) {
    form.fail("carried", "carried is for fixed columns alone",
              "say which columns they are with split = \"fixed\"");
  }
  if (source.split == Split::fixed || source.split == Split::blanks)
    source.between = parse_signs(form, "between", "[\"R\", \"=\"]");
  if (source.split != Split::shape) source.no_value = parse_signs(form, "no_value", "[\"-\"]");
  const bool cells = source.split != Split::blanks && source.split != Split::shape;
  if (source.empty_rows && !cells && source.no_value.empty()) {
    form.fail("empty_rows", "columns parted by blanks have no empty cells",
              "say which columns they are with split = \"fixed\"");
  }
  for (std::size_t i = 0; i < source.columns.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      const Column& a = source.columns[j];
      const Column& b = source.columns[i];
      const bool overlap = source.split == Split::fixed && a.at < b.at + b.width && b.at < a.at + a.width;
      if (a.name == b.name || overlap) {
        form.fail("columns",
                  fmt::format("columns {} and {} {}", escape(a.name), escape(b.name),
                              overlap ? "overlap" : "have one name"),
                  "give each its own");
      }
    }
  }
}

void parse_header(Form& form, Source& source) {
  const toml::node* node = form.any("header");
  if (node == nullptr) return;
  if (node->is_integer()) {
    source.header = Header::lines;
    source.header_lines = form.count("header", 10'000).value_or(0);
    return;
  }
  constexpr Named<Header> headers[] = {{"none", Header::none}, {"blank", Header::blank}};
  source.header = choose(form, "header", form.text("header").value_or("none"), headers);
}

std::string usual_address(const Source& source) {
  if (source.reader == ReaderKind::sections) return "{part}/{key}";
  return source.shape.letter ? "{letter}{key}" : "{key}";
}

// A table reader's rows, written as [[source.row]] or as keys of the source itself.
void parse_rows(Form& form, Source& source) {
  const toml::array* rows = form.tables("row");
  if (rows == nullptr) {
    source.rows.push_back(parse_row(form, source));
  } else {
    for (const toml::node& row : *rows) {
      Form inner(*row.as_table(), form.file(), "[[source.row]]");
      source.rows.push_back(parse_row(inner, source));
      inner.finish();
    }
  }
  if (source.reader == ReaderKind::words) {
    const bool says_nothing = rows == nullptr && source.rows.front().fields.empty();
    if (source.rows.empty() || says_nothing) {
      form.fail("row", "the reader words needs rules for its rows",
                "add [[source.row]] with address and fields");
    }
    return;
  }
  if (source.rows.size() != 1) form.fail("row", "this reader takes one row rule", "leave one [[source.row]]");
  RowRule& rule = source.rows.front();
  const bool columns = source.reader == ReaderKind::columns;
  if (columns && (rule.address.empty() || rule.fields.empty())) {
    form.fail("columns", "columns need address and fields",
              "add address = \"{number}\" and fields = { value = \"\" }");
  }
  check_row_shape(form, source);
  if (rule.address.empty()) rule.address = usual_address(source);
  if (rule.fields.empty()) rule.fields.push_back({"value", "", FieldKind::number});
}

// A text beside the part is called by the part, which an address must have then.
void require_part(Form& form, const Source& source) {
  const auto has_part = [](const RowRule& rule) { return rule.address.find("{part}") != std::string::npos; };
  if (source.part_field.empty() || std::any_of(source.rows.begin(), source.rows.end(), has_part)) return;
  form.fail("part", fmt::format("part has a {}, and no address has {{part}}", escape(source.part_field)),
            "write the address with {part}: \"tool/{part}/{key}\"");
}

std::vector<std::string> parse_comments(Form& form, const Source& source) {
  std::vector<std::string> openers = form.texts("comment");
  for (const std::string& opener : openers) {
    if (opener.empty() || opener.size() > 8) {
      form.fail("comment", "a comment opener is empty or longer than 8 bytes", "write \";\" or \"(\"");
    }
  }
  const bool said = form.any("comment") != nullptr;
  if (!said && source.reader == ReaderKind::sections) openers = {";", "#"};
  return openers;
}

}  // namespace

Source parse_source(const toml::table& table, const std::string& file) {
  Form form(table, file, "[[source]]");
  Source source;
  source.group = choose(form, "group", form.need_text("group"), groups);
  parse_files(form, source);
  source.reader = choose(form, "reader", form.need_text("reader"), readers);
  const bool blocks = source.reader == ReaderKind::blocks;
  if (blocks != (source.group == Group::programs)) {
    form.fail("reader",
              fmt::format("group {} is not read by {}", group_name(source.group), reader_name(source.reader)),
              "programs are read by blocks, and blocks reads nothing else");
  }
  source.required = form.yesno("required").value_or(false);
  source.data = form.yesno("data").value_or(true);
  source.comments = parse_comments(form, source);
  source.order = form.count("order", 1'000'000).value_or(0);
  source.begins = form.text("begins").value_or("");
  parse_lines(form, source);
  if (blocks) {
    parse_blocks(form, source);
  } else {
    constexpr Named<bool> repeats[] = {{"last", false}, {"number", true}};
    if (const auto given = form.text("repeats")) {
      source.number_repeats = choose(form, "repeats", *given, repeats);
      source.last_counts = !source.number_repeats;
    }
    source.comment_field = form.text("comment_field").value_or("");
    parse_header(form, source);
    const bool columns = source.reader == ReaderKind::columns;
    const bool assign = source.reader == ReaderKind::assign;
    if (columns || assign) source.empty_rows = form.yesno("empty_rows").value_or(false);
    if (columns) parse_columns(form, source);
    if (source.reader == ReaderKind::words) parse_across(form, source);
    parse_number_form(form, source);
    if (source.reader == ReaderKind::sections) source.quoted = form.yesno("quoted").value_or(false);
    if (assign) parse_shape(form, source);
    if (source.reader != ReaderKind::sections) parse_part(form, source);
    parse_rows(form, source);
    require_part(form, source);
    parse_keys(form, source);
  }
  parse_increments(form, source);
  form.finish();
  return source;
}

}  // namespace keepway::layout
