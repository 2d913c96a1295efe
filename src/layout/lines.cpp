// What a source says of whole lines and of text that is no data: skip, under, serial, encoding, between; and
// the shape of a row of assign.
#include <fmt/format.h>

#include <algorithm>

#include "base/encoding.hpp"
#include "keepway/text.hpp"
#include "layout/source.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t most_patterns = 64;
constexpr std::size_t longest_pattern = 200;

void check_pattern(const Form& form, std::string_view key, std::string_view pattern) {
  const bool clean = std::all_of(pattern.begin(), pattern.end(),
                                 [](char c) { return static_cast<unsigned char>(c) >= ' ' || c == '\t'; });
  const bool says = pattern.find_first_not_of("*? \t") != std::string_view::npos;
  if (clean && says && pattern.size() <= longest_pattern) return;
  form.fail(key, fmt::format("'{}' in {} is no pattern of a line", escape(pattern), key),
            fmt::format("write what the line has, with * for what changes: \"PAGE *\"; at most {} bytes",
                        longest_pattern));
}

std::string without_blanks(std::string_view text) {
  std::string out;
  std::copy_if(text.begin(), text.end(), std::back_inserter(out),
               [](char c) { return c != ' ' && c != '\t'; });
  return out;
}

// Of a key with two values, of which the first is usual.
bool is_second(Form& form, std::string_view key, const std::string& first, const std::string& second) {
  const std::string given = form.text(key).value_or(first);
  if (given != first && given != second) {
    form.fail(key, fmt::format("'{}' is not a value of {}", escape(given), key),
              fmt::format("use \"{}\" or \"{}\"", first, second));
  }
  return given == second;
}

bool is_name_byte(char c) {
  return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '_' || c == '.';
}

}  // namespace

void parse_lines(Form& form, Source& source) {
  source.skip = form.texts("skip");
  if (source.skip.size() > most_patterns) {
    form.fail("skip", fmt::format("skip has {} patterns", source.skip.size()),
              fmt::format("write at most {}: * stands for what differs from line to line", most_patterns));
  }
  for (const std::string& pattern : source.skip) check_pattern(form, "skip", pattern);
  source.under = form.text("under").value_or("");
  if (form.any("under") != nullptr) check_pattern(form, "under", source.under);
  if (!source.under.empty() && !source.begins.empty()) {
    form.fail("under", "a source has both under and begins",
              "under cuts a file at lines of text, begins at lines of %: leave one of them");
  }
  source.serial = form.text("serial").value_or("");
  if (form.any("serial") != nullptr) {
    check_pattern(form, "serial", source.serial);
    if (source.serial.find("{serial}") == std::string::npos) {
      form.fail("serial", fmt::format("'{}' has no {{serial}}", escape(source.serial)),
                "write the line that carries it: \"MACHINE NO {serial} *\"");
    }
  }
  source.encoding = form.text("encoding").value_or("");
  if (form.any("encoding") != nullptr && !is_encoding(source.encoding)) {
    form.fail("encoding",
              fmt::format("'{}' is not a character set that can be read", escape(source.encoding)),
              "name one in which ASCII stays ASCII, as 'iconv -l' lists them: ISO-8859-1, CP850, UTF-8");
  }
}

std::vector<std::string> parse_signs(Form& form, const char* key, const char* example) {
  std::vector<std::string> texts = form.texts(key);
  if (texts.size() > most_patterns) form.fail(key, fmt::format("{} has over 64 texts", key), "name fewer");
  for (const std::string& text : texts) {
    if (text.empty() || text.size() > longest_pattern || without_blanks(text) != text) {
      form.fail(key, fmt::format("'{}' in {} is no text without blanks", escape(text), key),
                fmt::format("write each text by itself: {} = {}", key, example));
    }
  }
  return texts;
}

void parse_number_form(Form& form, Source& source) {
  source.numbers.comma = is_second(form, "decimal", "point", "comma");
  if (source.reader == ReaderKind::words) return;  // whose letters are in front of the sign
  source.numbers.sign_behind = is_second(form, "sign", "front", "behind");
  source.numbers.exponent = form.yesno("exponent").value_or(false);
  if (source.numbers.comma && source.split == Split::comma && source.separator == ',') {
    form.fail("decimal", "commas cannot part columns and be decimal commas", "correct split or decimal");
  }
}

void parse_shape(Form& form, Source& source) {
  const std::optional<std::string> given = form.text("shape");
  if (!given) return;
  const std::string text = without_blanks(*given);
  const auto refuse = [&](const std::string& what) {
    form.fail("shape", fmt::format("'{}' {}", escape(*given), what),
              "write a row with {key} and {value}: \"R{key}={value}\"; {letter}{key} for any letters");
  };
  constexpr std::string_view letter = "{letter}";
  constexpr std::string_view key = "{key}";
  constexpr std::string_view value = "{value}";
  const std::size_t key_at = text.find(key);
  const std::size_t value_at = text.find(value);
  if (key_at == std::string::npos || value_at == std::string::npos || value_at < key_at + key.size() + 1) {
    refuse("is no shape of a row: it needs {key}, something that parts, and {value}");
  }
  Shape& shape = source.shape;
  shape.before = text.substr(0, key_at);
  if (shape.letter = shape.before.ends_with(letter); shape.letter)
    shape.before.resize(shape.before.size() - letter.size());
  shape.equals = text.substr(key_at + key.size(), value_at - key_at - key.size());
  shape.after = text.substr(value_at + value.size());
  for (const std::string* part : {&shape.before, &shape.equals, &shape.after}) {
    if (part->find_first_of("{}") != std::string::npos)
      refuse("has other braces than {letter}, {key}, {value}");
    if (part->size() > longest_pattern) refuse("is too long");
  }
  if (is_name_byte(shape.equals.front())) refuse("has letters or digits between key and value");
}

}  // namespace keepway::layout
