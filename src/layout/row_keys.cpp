// What a source says of rows with whole-number keys: their names elsewhere, and what the form demands.
#include <fmt/format.h>

#include <algorithm>

#include "layout/ranges.hpp"
#include "layout/source.hpp"

namespace keepway::layout {
namespace {

// All ranges of one source together hold no more numbers than one range may, since each number costs memory.
Range need_range(const Form& form, std::string_view key, std::string_view text, long& room) {
  const std::optional<Range> range = parse_range(text);
  if (!range) {
    form.fail(key, fmt::format("'{}' in {} is not a range of keys", escape(text), key),
              fmt::format("write \"300\" or \"300-399\", at most {} numbers", max_range));
  }
  room -= range->last - range->first + 1;
  if (room < 0) {
    form.fail(key, fmt::format("the ranges in {} hold too many keys", key),
              fmt::format("name at most {} keys in one source", max_range));
  }
  return *range;
}

PlaceRule parse_place(const Form& form, std::string_view keys, const toml::node& node, long& room) {
  const auto* target = node.as_string();
  if (target == nullptr) {
    fail(form.file(), node, fmt::format("the place of {} is not text", escape(keys)),
         "write an address: \"offsets/work/G54/{X,Y,Z}\"");
  }
  PlaceRule rule;
  const Range range = need_range(form, "places", keys, room);
  rule.first = range.first;
  rule.last = range.last;
  const std::optional<std::vector<std::string>> addresses = spread(target->get());
  if (!addresses) {
    fail(form.file(), node, fmt::format("the braces in '{}' cannot be read", escape(target->get())),
         "write one pair: {X,Y,Z} or {1-200}");
  }
  if (addresses->size() != static_cast<std::size_t>(range.last - range.first + 1)) {
    fail(form.file(), node,
         fmt::format("{} are {} keys, and '{}' gives {} names", keys, range.last - range.first + 1,
                     escape(target->get()), addresses->size()),
         "give as many names in braces as there are keys");
  }
  for (const std::string& text : *addresses) {
    const std::size_t slash = text.find('/');
    const std::optional<Group> group = parse_group(std::string_view(text).substr(0, slash));
    if (!group || *group == Group::programs || slash == std::string::npos || slash + 1 == text.size() ||
        text.substr(slash + 1) == "unread" || is_unread(std::string_view(text).substr(slash + 1))) {
      fail(form.file(), node, fmt::format("'{}' is not the address of a value", escape(text)),
           "begin it with offsets/, variables/, settings/ or parameters/");
    }
    rule.group = *group;
    rule.keys.push_back(text.substr(slash + 1));
  }
  return rule;
}

Limit parse_limit(const std::string& file, const Range& keys, const toml::table& table) {
  Limit limit;
  limit.keys = keys;
  Form form(table, file, "a limit");
  if (const toml::node* min = form.any("min")) limit.min = exact(file, *min, "min");
  if (const toml::node* max = form.any("max")) limit.max = exact(file, *max, "max");
  limit.whole = form.yesno("whole").value_or(false);
  form.finish();
  return limit;
}

}  // namespace

void parse_keys(Form& form, Source& source) {
  long room = max_range;
  if (const toml::table* places = form.table("places")) {
    for (const auto& [keys, node] : *places)
      source.places.push_back(parse_place(form, keys.str(), node, room));
    std::sort(source.places.begin(), source.places.end(),
              [](const PlaceRule& a, const PlaceRule& b) { return a.first < b.first; });
    for (std::size_t i = 1; i < source.places.size(); ++i) {
      if (source.places[i].first <= source.places[i - 1].last) {
        form.fail("places", fmt::format("key {} has two places", source.places[i].first),
                  "make sure that the ranges do not overlap");
      }
    }
  }
  source.ascending = form.yesno("ascending").value_or(false);
  source.size = form.count("size", max_range).value_or(0);
  room = max_range;
  for (const std::string& keys : form.texts("must"))
    source.must.push_back(need_range(form, "must", keys, room));
  if (const toml::table* limits = form.table("limits")) {
    room = max_range;
    for (const auto& [keys, node] : *limits) {
      const toml::table* table = node.as_table();
      if (table == nullptr) {
        fail(form.file(), node, fmt::format("the limit of {} is not a table", escape(keys.str())),
             "write { min = \"1\", max = \"9\", whole = true }");
      }
      source.limits.push_back(parse_limit(form.file(), need_range(form, "limits", keys.str(), room), *table));
    }
  }
}

}  // namespace keepway::layout
