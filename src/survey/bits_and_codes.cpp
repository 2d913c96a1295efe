// Values of digits that are no numbers, since zeros in front of them count: bits, and hexadecimal codes.
#include <algorithm>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "reader/value.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

constexpr std::string_view hexadecimal = "0123456789ABCDEFabcdef";

constexpr std::size_t fewest_bits = 4;
constexpr std::size_t bits_for_sure = 8;  // 1000 may be a thousand

bool is_bits(std::string_view text) {
  return text.size() >= fewest_bits && text.find_first_not_of("01") == std::string_view::npos;
}

bool has_zeros_in_front(const std::vector<std::string>& values) {
  return std::any_of(values.begin(), values.end(),
                     [](const std::string& value) { return value.starts_with('0'); });
}

bool are_hexadecimal(const std::vector<std::string>& values) {
  constexpr std::size_t longest = 8;
  const std::size_t length = values.empty() ? 0 : values.front().size();
  return length > 1 && length <= longest && values.size() > 1 &&
         std::all_of(values.begin(), values.end(), [&](const std::string& value) {
           return value.size() == length && value.find_first_not_of(hexadecimal) == std::string::npos;
         });
}

}  // namespace

bool is_quoted(std::string_view text) {
  return text.size() > 1 && text.front() == '"' && text.back() == '"';
}

bool may_be_hexadecimal(const std::vector<std::string>& values) {
  return are_hexadecimal(values) && has_zeros_in_front(values);
}

bool is_overflow(std::string_view cell) {
  constexpr std::string_view signs = "*?#";
  return cell.size() > 1 && signs.find(cell[0]) != std::string_view::npos &&
         cell.find_first_not_of(cell[0]) == std::string_view::npos;
}

bool has_others_among_numbers(const std::vector<std::string>& values) {
  const auto padded = [](const std::string& value) {
    return !reader::is_bit_pattern(value) && value.size() > 1 && value.front() == '0' && value[1] != '.';
  };
  const auto number = [](const std::string& value) { return canonical_number(value).has_value(); };
  if (std::any_of(values.begin(), values.end(), is_overflow) &&
      std::all_of(values.begin(), values.end(), [&](const std::string& value) {
        return value.empty() || is_overflow(value) || number(value);
      }))
    return std::any_of(values.begin(), values.end(), number);
  return std::any_of(values.begin(), values.end(), reader::is_bit_pattern) &&
         std::none_of(values.begin(), values.end(), padded);
}

std::string value_fields(const std::vector<std::string>& values) {
  if (are_flags(values)) return key_line("fields", "{ value = { name = \"\", kind = \"text\" } }");
  return has_others_among_numbers(values) ? key_line("fields", any_value) : std::string();
}

bool are_flags(const std::vector<std::string>& values) {
  if (values.size() < 2) return false;
  const std::size_t length = values.front().size();
  const bool zeros = has_zeros_in_front(values) || length >= bits_for_sure;
  const bool bits = zeros && std::all_of(values.begin(), values.end(), [&](const std::string& value) {
                      return value.size() == length && is_bits(value);
                    });
  const auto any = [&](const auto& is) {
    return std::any_of(values.begin(), values.end(),
                       [&](const std::string& value) { return std::any_of(value.begin(), value.end(), is); });
  };
  return bits || (are_hexadecimal(values) && any(is_digit) && any(is_letter));
}

}  // namespace keepway::layout
