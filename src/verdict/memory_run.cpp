#include "verdict/memory_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>
#include <string_view>
#include <utility>

#include "base/digit.hpp"
#include "keepway/decimal.hpp"
#include "keepway/text.hpp"
#include "verdict/number_words.hpp"

namespace keepway::verdict {
namespace {

// Rows that hold one value, or are all cleared.
struct EqualRows {
  const Item* first = nullptr;  // as they are now
  const Item* last = nullptr;
  std::size_t changed = 0;                // of them, how many numbers were others, and not cleared
  std::size_t rows = 0;                   // that held those
  std::set<std::string_view> values_was;  // of those, different ones, up to a few
};

// The numbers of a value of several, and of nothing else.
std::optional<NumberWords> several_numbers(std::string_view value) {
  NumberWords words = number_words(value);
  const bool letters = std::any_of(words.form.begin(), words.form.end(), is_letter);
  if (letters || words.words.size() < 2 || !holds_measures(words)) return std::nullopt;
  return words;
}

std::size_t count_set_numbers(std::string_view value) {
  const auto several = several_numbers(value);
  if (!several) return 0;
  return static_cast<std::size_t>(
      std::count_if(several->words.begin(), several->words.end(), [](const NumberWord& word) {
        const auto number = Decimal::parse(word.number);
        return number && !number->is_zero();
      }));
}

bool is_word(const Item& item) {  // OFF, AUTO
  return !item.value.empty() && !Decimal::parse(item.value) && !several_numbers(item.value);
}

// Equal numbers other than zero may have been written on purpose where the rows had few different values
// before.
bool is_lost(const Namebook& book, Group group, const EqualRows& run) {
  const std::size_t least = group == Group::variables ? 16 : 12;
  constexpr std::size_t least_rows = 4;  // a value may be of many numbers
  if (run.changed < least || run.rows < least_rows) return false;
  return is_cleared(book, group, *run.last) || is_word(*run.last) || run.values_was.size() == few_values;
}

}  // namespace

std::size_t count_set(const Namebook& book, Group group, const Item& item) {
  if (item.value == "0" || is_unread(item.key)) return 0;
  const Entry* entry = book.row(group, item.key);
  if (entry != nullptr && entry->default_value != "0" && item.value == entry->default_value) return 0;
  const auto number = Decimal::parse(item.value);
  if (!number) return count_set_numbers(item.value);
  const bool at_default = number->is_zero() || (entry != nullptr && entry->default_value != "0" &&
                                                number == Decimal::parse(entry->default_value));
  return at_default ? 0 : 1;
}

bool is_cleared(const Namebook& book, Group group, const Item& item) {
  return !is_word(item) && !is_set(book, group, item);
}

std::optional<LostRun> lost_run(const Namebook& book, Group group, const Table& was, const Table& now) {
  EqualRows run;
  EqualRows longest;
  ItemCursor here(now);
  const auto end = [&] {
    if (run.changed > longest.changed && is_lost(book, group, run)) longest = run;
    run = EqualRows();
  };
  for (const Item& item : was) {
    const Item* is = here.find(item.key);
    if (is == nullptr || is_unread(item.key)) {
      end();
      continue;
    }
    const bool goes_on =
        run.last != nullptr && (is->value == run.last->value ||
                                (is_cleared(book, group, *is) && is_cleared(book, group, *run.last)));
    if (!goes_on) end();
    if (run.first == nullptr) run.first = is;
    run.last = is;
    if (is->value == item.value || is_cleared(book, group, item)) continue;
    run.changed += std::max<std::size_t>(count_set(book, group, item), 1);
    ++run.rows;
    if (run.values_was.size() < few_values) run.values_was.insert(item.value);
  }
  end();
  if (longest.first == nullptr) return std::nullopt;
  std::string rows = fmt::format("{} to {}", escape(Address{group, longest.first->key}.text()),
                                 escape(Address{group, longest.last->key}.text()));
  std::string what =
      fmt::format("every value from {} is {} now; {} were set to others before", rows,
                  is_cleared(book, group, *longest.last) ? "zero or default" : escape(longest.last->value),
                  longest.changed);
  return LostRun{std::move(rows), std::move(what)};
}

}  // namespace keepway::verdict
