// What a layout makes of a backup: few enough facts for one screen.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/encoding.hpp"
#include "keepway/precision.hpp"
#include "keepway/survey.hpp"
#include "keepway/text.hpp"
#include "reader/clean.hpp"
#include "reader/comments.hpp"
#include "reader/cure.hpp"
#include "reader/text.hpp"
#include "survey/survey_parts.hpp"

namespace keepway {
namespace {

constexpr std::size_t most_rows = 3;
constexpr std::size_t longest_text = 80;
constexpr std::size_t most_passed = 6;
constexpr std::size_t most_causes = 100;  // the rest are counted together

std::string blocks_of(const Program& program) {
  const auto blocks = std::count(program.text.begin(), program.text.end(), '\n');
  return fmt::format("{} block{}", blocks, blocks == 1 ? "" : "s");
}

class Summary {
 public:
  Summary(const Layout& layout, const Reading& reading, const std::vector<OriginalView>& files)
      : layout_(layout),
        reading_(reading),
        files_(files),
        precision_(reading, files, layout, layout.units.value_or(Units::inch)),
        sources_(layout.sources.size()) {}

  Understood made() {
    for (std::size_t i = 0; i < reading_.files.size(); ++i) {
      if (reading_.files[i].source == FileFacts::no_source) out_.unclaimed.emplace_back(files_[i].name);
    }
    for (const Origin& origin : reading_.origins) add(origin);
    for (const ProgramFacts& program : reading_.programs) {
      for (const Span& span : program.unread_spans) add_unread(span, program.source);
    }
    for (const Oddity& oddity : reading_.oddities) {
      if (oddity.kind == OddityKind::other_serial) out_.oddities.push_back(oddity.detail);
    }
    for (const Overruled& value : reading_.overruled) add_twice(value);
    for (std::uint32_t file = 0; file < files_.size(); ++file) {
      if (reading_.files[file].source != FileFacts::no_source) add_passed(file);
    }
    for (std::size_t i = 0; i < sources_.size(); ++i) {
      if (sources_[i].files.empty()) continue;
      sources_[i].index = i;
      sources_[i].group = layout_.sources[i].group;
      out_.sources.push_back(std::move(sources_[i]));
    }
    std::stable_sort(out_.unread.begin(), out_.unread.end(),
                     [](const auto& a, const auto& b) { return a.times > b.times; });
    return std::move(out_);
  }

 private:
  void add(const Origin& origin) {
    Understood::Source& source = sources_[origin.source];
    if (seen_.insert({origin.source, origin.span.file}).second)
      source.files.emplace_back(files_[origin.span.file].name);
    if (is_unread(origin.key)) return add_unread(origin.span, origin.source);
    ++source.items;
    if (source.rows.size() >= most_rows) return;
    std::string value;
    if (origin.group == Group::programs) {
      const auto program = std::find_if(reading_.state.programs.begin(), reading_.state.programs.end(),
                                        [&](const Program& each) { return each.name == origin.key; });
      if (program != reading_.state.programs.end()) value = blocks_of(*program);
    } else if (const Item* item = find_item(*reading_.state.table(origin.group), origin.key)) {
      value = item->value;
    }
    const std::string written = precision_.written(origin.group, origin.key, value);
    source.rows.push_back(
        {std::string(group_name(origin.group)) + "/" + origin.key, std::move(value), written});
  }

  void add_twice(const Overruled& value) {
    if (value.group == Group::programs || value.span.file != value.by.file) return;
    const Origin* origin = reading_.origin(value.group, value.key);
    if (origin == nullptr || layout_.sources[origin->source].last_counts) return;
    const Item* item = find_item(*reading_.state.table(value.group), value.key);
    if (item == nullptr || item->value == value.value) return;
    ++out_.twice;
    if (out_.twice_first.size() == most_passed) return;
    const std::string name(files_[value.span.file].name);
    out_.twice_first.push_back({std::string(group_name(value.group)) + "/" + value.key, item->value,
                                Place{name, origin->span.line, origin->span.at}, value.value,
                                Place{name, value.span.line, value.span.at}});
  }

  // Whether a line is a remark, or says what the lines below it are of; or none is data.
  static bool is_used(const Source& source, std::string_view line) {
    if (!source.data) return true;
    reader::Comments comments(source.comments, false);
    if (reader::trim(comments.strip(line).code).empty()) return true;
    const bool section = source.reader == ReaderKind::sections && line.front() == '[';
    return section || layout::names_part(source, line);
  }

  void add_passed(std::uint32_t file) {
    std::set<std::uint64_t> read;
    std::vector<std::pair<std::uint64_t, std::uint64_t>> programs;
    std::set<std::uint32_t> sources = {reading_.files[file].source};
    for (const Origin& origin : reading_.origins) {
      if (origin.span.file != file) continue;
      read.insert(origin.span.line);
      sources.insert(origin.source);
      if (origin.group == Group::programs)
        programs.emplace_back(origin.span.at, origin.span.at + origin.span.length);
    }
    std::sort(programs.begin(), programs.end());
    reader::Cleaned cleaned;
    reader::clean(files_[file].bytes, files_[file].name, cleaned);
    reader::Lines lines(cleaned.text);
    for (reader::Line line; lines.next(line);) {
      const std::string_view text = reader::trim(line.text);
      if (text.empty() || reader::is_mark(text) || layout::is_rule(text) || read.contains(line.number))
        continue;
      const auto behind = std::upper_bound(programs.begin(), programs.end(), std::pair(line.at, UINT64_MAX));
      if (behind != programs.begin() && std::prev(behind)->second > line.at) continue;
      if (std::any_of(sources.begin(), sources.end(),
                      [&](std::uint32_t source) { return is_used(layout_.sources[source], text); }))
        continue;
      ++out_.passed;
      if (out_.passed_first.size() == most_passed || !passed_.insert(layout::pattern_of_line(text)).second)
        continue;
      const Source& source = layout_.sources[*sources.begin()];
      const std::string shown = Encoding(source.encoding).to_utf8(text.substr(0, longest_text));
      out_.passed_first.push_back(
          {Place{std::string(files_[file].name), line.number, line.at}, escape(shown)});
    }
  }

  void add_unread(const Span& span, std::uint32_t index) {
    const Source& source = layout_.sources[index];
    const std::string_view bytes = files_[span.file].bytes;
    // The line whole, so that columns are where they are.
    std::size_t begin = span.at;
    while (begin > 0 && bytes[begin - 1] != '\n' && bytes[begin - 1] != '\r') --begin;
    const std::size_t end = std::min<std::size_t>(bytes.find_first_of("\r\n", span.at), bytes.size());
    reader::Comments comments(source.comments, false);
    std::string why = source.reader == ReaderKind::blocks
                          ? std::string("no block of a program: say skip or comment")
                          : reader::cure(source, comments.strip(bytes.substr(begin, end - begin)).code);
    const auto find = [&] {
      return std::find_if(out_.unread.begin(), out_.unread.end(),
                          [&](const Understood::Unread& each) { return each.why == why; });
    };
    auto same = find();
    if (same == out_.unread.end() && out_.unread.size() >= most_causes) {
      why = "for other reasons";
      same = find();
    }
    if (same != out_.unread.end()) {
      ++same->times;
      return;
    }
    const std::string_view text = bytes.substr(span.at, std::min<std::size_t>(span.length, longest_text));
    out_.unread.push_back({why, 1, Place{std::string(files_[span.file].name), span.line, span.at},
                           escape(Encoding(source.encoding).to_utf8(text))});
  }

  const Layout& layout_;
  const Reading& reading_;
  const std::vector<OriginalView>& files_;
  Precision precision_;
  std::vector<Understood::Source> sources_;
  std::set<std::pair<std::uint32_t, std::uint32_t>> seen_;  // source and file
  std::set<std::string> passed_;                            // patterns of lines
  Understood out_;
};

}  // namespace

Understood understood(const Layout& layout, const Reading& reading, const std::vector<OriginalView>& files) {
  return Summary(layout, reading, files).made();
}

}  // namespace keepway
