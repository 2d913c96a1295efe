// Parts of the layout parser: one [[source]], its row rules, and what it says of numbered keys.
#pragma once

#include "keepway/layout.hpp"
#include "layout/form.hpp"

namespace keepway::layout {

// Bound on the columns and on the fields of one source.
inline constexpr std::size_t max_parts = 256;

Source parse_source(const toml::table& table, const std::string& file);

// address, rename, fields (and match, for words), from a [[source.row]] or from the source itself.
RowRule parse_row(Form& form, const Source& source);
// Names between braces in an address template; Error{input} when braces do not pair.
std::vector<std::string> address_parts(const Form& form, std::string_view address);
FieldKind parse_field_kind(Form& form, FieldKind usual);

// point, least_increment, increment_of. After the rows.
void parse_increments(Form& form, Source& source);

// skip, under, serial, encoding: what is said of whole lines.
void parse_lines(Form& form, Source& source);
// decimal and sign, for columns, assign and sections.
void parse_number_form(Form& form, Source& source);
// shape, for assign; before the rows.
void parse_shape(Form& form, Source& source);
// shape, for columns: they are those that it names.
void parse_row_shape(Form& form, Source& source);
// Refuses columns that nothing parts, but a number and what is right behind it. Once the fields are known.
void check_row_shape(const Form& form, const Source& source);
// named_by, for blocks.
void parse_named_by(Form& form, Source& source);
// part, for columns and assign; before the rows.
void parse_part(Form& form, Source& source);
// between or no_value: signs that are no values.
std::vector<std::string> parse_signs(Form& form, const char* key, const char* example);

// Programs: protected, increment_letters, program, numbered_by, named_by, percent.
void parse_blocks(Form& form, Source& source);

// places, ascending, must, limits.
void parse_keys(Form& form, Source& source);

}  // namespace keepway::layout
