#include "reader/join.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <set>
#include <unordered_map>
#include <unordered_set>
#include <utility>

namespace keepway::reader {

// join_programs.cpp
void join_programs(std::vector<std::pair<std::uint32_t, RawProgram>>&& programs,
                   const std::vector<OriginalView>& originals, Reading& reading);

namespace {

// An item where its reader left it: what is sorted is this, not the item.
struct Found {
  RawItem* raw = nullptr;
  std::uint32_t source = 0;
};

// Most controls write their tables in order but for the values of one row: each goes up by a few places. What
// is out of order by more is sorted as usual. Equal ones keep their order.
template <typename Less>
void sort_nearly(std::vector<Found>& found, Less less) {
  constexpr std::size_t a_few = 4;
  std::size_t left = a_few * found.size();
  for (std::size_t i = 1; i < found.size(); ++i) {
    const Found one = found[i];
    std::size_t to = i;
    for (; to > 0 && less(one, found[to - 1]) && left > 0; --to, --left) found[to] = found[to - 1];
    found[to] = one;
    if (left == 0) return std::stable_sort(found.begin(), found.end(), less);
  }
}

class Joiner {
 public:
  Joiner(const Layout& layout, const std::vector<OriginalView>& originals)
      : layout_(layout), originals_(originals) {}

  // The output's items must stay where they are until finish(), which takes them.
  void add(std::uint32_t source, Output& output) {
    const bool numbers = layout_.sources[source].number_repeats;
    if (layout_.sources[source].data) present_[at(layout_.sources[source].group)] = true;
    for (RawItem& raw : output.items) {
      present_[at(raw.group)] = true;
      if (numbers) raw.key = numbered(raw.group, std::move(raw.key));
      found_[at(raw.group)].push_back({&raw, source});
    }
    for (Unread& unread : output.unread) add_unread(source, std::move(unread));
    std::move(output.overruled.begin(), output.overruled.end(), std::back_inserter(reading_.overruled));
    for (RawProgram& program : output.programs) programs_.emplace_back(source, std::move(program));
    std::move(output.oddities.begin(), output.oddities.end(), std::back_inserter(reading_.oddities));
  }

  Reading finish() {
    std::size_t rows = 0;
    for (const auto& found : found_) rows += found.size();
    reading_.origins.reserve(rows + programs_.size());
    for (const Group group : all_groups) {
      if (dropped_[at(group)] > 0) {
        reading_.oddities.push_back({OddityKind::too_large,
                                     {},
                                     fmt::format("{} unread rows over {} are in the originals only",
                                                 dropped_[at(group)], max_unread_rows),
                                     group});
      }
      if (present_[at(group)] && group != Group::programs) join_table(group);
    }
    const bool programs = present_[at(Group::programs)];
    const auto tables = static_cast<std::ptrdiff_t>(reading_.origins.size());
    if (programs) join_table(Group::programs);
    join_programs(std::move(programs_), originals_, reading_);
    settle_overruled();
    // Unread rows and programs share a group, and Reading::origin looks for both by key.
    std::sort(reading_.origins.begin() + tables, reading_.origins.end(),
              [](const Origin& a, const Origin& b) { return natural_order(a.key, b.key) < 0; });
    return std::move(reading_);
  }

  std::vector<Oddity>& oddities() { return reading_.oddities; }
  std::vector<FileFacts>& files() { return reading_.files; }

 private:
  static std::size_t at(Group group) { return static_cast<std::size_t>(group); }

  // The key itself, or key.2, key.3 when it was given before.
  std::string numbered(Group group, std::string key) {
    auto& all = times_[at(group)];
    if (++all[key] == 1) return key;
    std::string next = fmt::format("{}.{}", key, all[key]);
    while (!all.try_emplace(next, 1).second) next = fmt::format("{}.{}", key, ++all[key]);
    return next;
  }

  void add_unread(std::uint32_t source, Unread&& unread) {
    const std::size_t group = at(unread.group);
    present_[group] = true;
    if (unread_[group] >= max_unread_rows) {
      ++dropped_[group];
      return;
    }
    std::string key = unread_key(unread.text);
    // The same text on two rows is one item: nothing tells the two apart.
    if (!unread_keys_[group].insert(key).second) return;
    ++unread_[group];
    if (unread.text.size() > max_unread_text) unread.text.resize(max_unread_text);
    found_[group].push_back(
        {&unread_items_.emplace_back(
             RawItem{unread.group, std::move(key), std::move(unread.text), unread.span, FieldKind::text, 0}),
         source});
  }

  void join_table(Group group) {
    std::vector<Found>& found = found_[at(group)];
    const auto less = [](const Found& a, const Found& b) {
      return natural_order(a.raw->key, b.raw->key) < 0;
    };
    sort_nearly(found, less);
    Table& table = reading_.state.table(group).emplace();
    table.reserve(found.size());
    for (std::size_t i = 0; i < found.size(); ++i) {
      RawItem& raw = *found[i].raw;
      if (i + 1 < found.size() && found[i + 1].raw->key == raw.key) {
        const RawItem& next = *found[i + 1].raw;
        note_repeat(raw, next, layout_.sources[found[i + 1].source].last_counts);
        reading_.overruled.push_back(
            {raw.group, std::move(raw.key), std::move(raw.value), raw.span, next.span});
        continue;
      }
      reading_.origins.push_back({raw.group, raw.key, raw.span, found[i].source, raw.kind, raw.from});
      table.push_back({std::move(raw.key), std::move(raw.value)});
    }
  }

  // One for each row that repeats another, however many values it holds. Where another file says otherwise,
  // one for the two files: a copy of an old backup lies among the new one's files, and which of them is meant
  // nobody can tell from here.
  void note_repeat(const RawItem& first, const RawItem& second, bool last_counts) {
    const Span& span = second.span;
    const std::uint32_t before_file = first.span.file;
    if (before_file != span.file && first.value != second.value) {
      if (!clashing_files_.emplace(before_file, span.file).second) return;
      reading_.oddities.push_back(
          {OddityKind::clashing_files, Place{std::string(originals_[span.file].name), span.line, span.at},
           fmt::format("{} is {} here, and {} in {}", escape(second.key), escape(second.value),
                       escape(first.value), escape(originals_[before_file].name)),
           second.group});
      return;
    }
    const bool clash = !last_counts && first.value != second.value;
    if (!repeated_lines_.insert(fmt::format("{}:{}{}", span.file, span.line, clash ? "!" : "")).second)
      return;
    if (repeated_lines_.size() > max_named_repeats) return;
    const Span& before = first.span;
    const std::string here = clash ? fmt::format("is {} here", escape(second.value)) : "is given again";
    const std::string there =
        clash ? fmt::format(", and {} in line {}", escape(first.value), before.line)
              : fmt::format("; {} line {} gave it first", escape(originals_[before.file].name), before.line);
    reading_.oddities.push_back({clash ? OddityKind::clashing_rows : OddityKind::repeated_row,
                                 Place{std::string(originals_[span.file].name), span.line, span.at},
                                 escape(second.key) + " " + here + there, second.group});
  }

  // What overrules a value may be overruled itself: in the end by the one that counts.
  void settle_overruled() {
    for (Overruled& value : reading_.overruled) {
      if (const Origin* origin = reading_.origin(value.group, value.key)) value.by = origin->span;
    }
    std::stable_sort(reading_.overruled.begin(), reading_.overruled.end(),
                     [](const Overruled& a, const Overruled& b) {
                       return std::pair(a.span.file, a.span.at) < std::pair(b.span.file, b.span.at);
                     });
  }

  static constexpr std::size_t max_named_repeats = 1000;

  const Layout& layout_;
  const std::vector<OriginalView>& originals_;
  Reading reading_;
  std::array<bool, 5> present_{};
  std::array<std::vector<Found>, 5> found_;
  std::deque<RawItem> unread_items_;
  std::array<std::size_t, 5> unread_{};
  std::array<std::size_t, 5> dropped_{};
  std::array<std::unordered_set<std::string>, 5> unread_keys_;
  std::array<std::unordered_map<std::string, std::size_t>, 5> times_;
  std::unordered_set<std::string> repeated_lines_;
  std::set<std::pair<std::uint32_t, std::uint32_t>> clashing_files_;
  std::vector<std::pair<std::uint32_t, RawProgram>> programs_;
};

}  // namespace

Reading join(const Layout& layout, std::vector<FileOutput>&& files,
             const std::vector<OriginalView>& originals) {
  Joiner joiner(layout, originals);
  for (FileOutput& file : files) {
    joiner.files().push_back(file.facts);
    std::move(file.oddities.begin(), file.oddities.end(), std::back_inserter(joiner.oddities()));
    for (FileOutput::Read& part : file.parts) joiner.add(part.source, part.output);
  }
  return joiner.finish();
}

}  // namespace keepway::reader
