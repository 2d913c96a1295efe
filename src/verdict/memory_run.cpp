#include "verdict/memory_run.hpp"

#include <fmt/format.h>

#include <set>
#include <string_view>

#include "keepway/decimal.hpp"
#include "keepway/text.hpp"

namespace keepway::verdict {
namespace {

// Rows that hold one value, or are all not set.
struct AlikeRows {
  const Item* first = nullptr;  // as they are now
  const Item* last = nullptr;
  std::size_t changed = 0;                // of them, how many held another value, and were set
  std::set<std::string_view> values_was;  // of those, different ones, up to a few
};

// `cleared`: they are not set any more. What holds a value of its own was written, perhaps on purpose.
bool is_lost(const AlikeRows& run, Group group, bool cleared) {
  const std::size_t least = group == Group::variables ? 16 : 12;
  return run.changed >= least && (cleared || run.values_was.size() == few_values);
}

}  // namespace

bool is_set(const Namebook& book, Group group, const Item& item) {
  if (item.value == "0" || is_unread(item.key)) return false;
  const auto number = Decimal::parse(item.value);
  if (!number || number->is_zero()) return false;
  const Entry* entry = book.row(group, item.key);
  return entry == nullptr || entry->default_value == "0" || number != Decimal::parse(entry->default_value);
}

std::string lost_run(const Namebook& book, Group group, const Table& was, const Table& now) {
  AlikeRows run;
  AlikeRows longest;
  ItemCursor here(now);
  const auto end = [&] {
    const bool cleared = run.last != nullptr && !is_set(book, group, *run.last);
    if (run.changed > longest.changed && is_lost(run, group, cleared)) longest = run;
    run = AlikeRows();
  };
  for (const Item& item : was) {
    const Item* is = here.find(item.key);
    if (is == nullptr || is_unread(item.key)) {
      end();
      continue;
    }
    const bool goes_on =
        run.last != nullptr &&
        (is->value == run.last->value || (!is_set(book, group, *is) && !is_set(book, group, *run.last)));
    if (!goes_on) end();
    if (run.first == nullptr) run.first = is;
    run.last = is;
    if (is->value == item.value || !is_set(book, group, item)) continue;
    ++run.changed;
    if (run.values_was.size() < few_values) run.values_was.insert(item.value);
  }
  end();
  if (longest.first == nullptr) return "";
  return fmt::format(
      "every value from {} to {} is {} now; {} were set to others before",
      escape(Address{group, longest.first->key}.text()), escape(Address{group, longest.last->key}.text()),
      is_set(book, group, *longest.last) ? escape(longest.last->value) : "zero or default", longest.changed);
}

}  // namespace keepway::verdict
