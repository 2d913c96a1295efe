// Rows that do not count, since another gives the same item: where they say other than before, no value
// changed, and still the file does not say the same.
#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <string_view>
#include <tuple>
#include <utility>

#include "spelling/written.hpp"

namespace keepway {
namespace {

// By what two rows are the same: their file, where that has one name in both backups, their item, and their
// value.
using Known = std::tuple<std::string_view, Group, std::string_view, std::string_view>;

const std::string& file_of(const Written& side, const Span& span) {
  return side.side().set.files[span.file].name;
}

class Pairing {
 public:
  Pairing(const Written& was, const Written& is) : was_(was), is_(is) {}

  std::vector<OverruledIn> run() {
    for (const Overruled& value : was_.reading().overruled) left_.push_back(&value);
    for (const Overruled& value : is_.reading().overruled) fresh_.push_back(&value);
    pair(true, true);
    pair(true, false);
    pair(false, true);  // the file has another name
    for (const Overruled* value : fresh_) add(nullptr, value);
    for (const Overruled* value : left_) add(value, nullptr);
    return std::move(out_);
  }

 private:
  // Takes out what is of one item on both sides, in order.
  void pair(bool of_one_file, bool of_one_value) {
    std::map<Known, std::vector<const Overruled*>> waiting;  // last first
    const auto known = [&](const Written& side, const Overruled& value) {
      return Known(of_one_file ? std::string_view(file_of(side, value.span)) : "", value.group, value.key,
                   of_one_value ? std::string_view(value.value) : "");
    };
    for (auto value = left_.rbegin(); value != left_.rend(); ++value)
      waiting[known(was_, **value)].push_back(*value);
    std::set<const Overruled*> taken;
    std::erase_if(fresh_, [&](const Overruled* value) {
      const auto found = waiting.find(known(is_, *value));
      if (found == waiting.end() || found->second.empty()) return false;
      const Overruled* before = found->second.back();
      found->second.pop_back();
      taken.insert(before);
      if (before->value != value->value) add(before, value);
      return true;
    });
    std::erase_if(left_, [&](const Overruled* value) { return taken.contains(value); });
  }

  void add(const Overruled* before, const Overruled* after) {
    const Overruled& of = after != nullptr ? *after : *before;
    const Written& side = after != nullptr ? is_ : was_;
    OverruledChange change;
    change.address = {of.group, of.key};
    if (before != nullptr) {
      change.before = before->value;
      change.before_line = before->span.line;
    }
    if (after != nullptr) {
      change.after = after->value;
      change.after_line = after->span.line;
    }
    const auto& table = side.reading().state.table(of.group);
    const Item* item = table ? find_item(*table, of.key) : nullptr;
    if (item != nullptr) change.in_force = item->value;
    change.by_file = file_of(side, of.by);
    change.by_line = of.by.line;
    out_.push_back({file_of(side, of.span), std::move(change)});
  }

  const Written& was_;
  const Written& is_;
  std::vector<const Overruled*> left_;
  std::vector<const Overruled*> fresh_;
  std::vector<OverruledIn> out_;
};

}  // namespace

std::vector<OverruledIn> compare_overruled(const Written& was, const Written& is) {
  if (was.reading().overruled.empty() && is.reading().overruled.empty()) return {};
  return Pairing(was, is).run();
}

bool need_all_files(const Written& was, const Written& is, const Changes& changes) {
  if (!compare_overruled(was, is).empty()) return true;
  using Becomes = std::tuple<Group, std::string_view, std::optional<std::string_view>>;
  const auto becomes = [](const ValueChange& change) {
    return Becomes(change.group, change.key, change.after);
  };
  std::set<Becomes> known;
  for (const ValueChange& change : changes.values) known.insert(becomes(change));
  const auto counts = [&](const ValueChange& change) {
    return is_unread(change.key) || known.contains(becomes(change));
  };
  for (const Group group : all_groups) {
    const auto& before = was.reading().state.table(group);
    const auto& after = is.reading().state.table(group);
    static const Table none;
    const auto found = compare_tables(group, before ? *before : none, after ? *after : none);
    if (!std::all_of(found.begin(), found.end(), counts)) return true;
  }
  return false;
}

}  // namespace keepway
