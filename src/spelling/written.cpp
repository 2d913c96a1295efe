#include "spelling/written.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "reader/lines.hpp"
#include "reader/program_lines.hpp"

namespace keepway {
Written::Written(const SpelledSide& side, Reading reading)
    : side_(side), reading_(std::move(reading)), by_file_(side.set.files.size()) {
  for (const Origin& origin : reading_.origins) by_file_[origin.span.file].origins.push_back(&origin);
  for (const ProgramFacts& program : reading_.programs)
    by_file_[program.span.file].programs.push_back(&program);
  for (const Overruled& value : reading_.overruled) by_file_[value.span.file].overruled.push_back(&value);
}

SpelledFile::Read Written::read(std::size_t file) const {
  const FileFacts& facts = reading_.files[file];
  if (facts.source == FileFacts::no_source) return SpelledFile::Read::no_source;
  const auto& origins = by_file_[file].origins;
  const bool any = facts.items > 0 || !by_file_[file].overruled.empty() ||
                   std::any_of(origins.begin(), origins.end(),
                               [](const Origin* origin) { return !is_unread(origin->key); });
  return any ? SpelledFile::Read::yes : SpelledFile::Read::nothing;
}

FileLines Written::split(std::size_t file, reader::Cleaned& cleaned) const {
  const std::string& bytes = side_.set.files[file].bytes;
  reader::clean(bytes, side_.set.files[file].name, cleaned);
  FileLines out;
  std::size_t begin = 0;
  reader::Lines each(cleaned.text);
  while (each.next()) {
    if (!out.empty()) out.back().raw = std::string_view(bytes).substr(begin, each.at() - begin);
    begin = each.at();
    out.emplace_back();
  }
  if (!out.empty()) out.back().raw = std::string_view(bytes).substr(begin);
  return out;
}

FileLines Written::lines(std::size_t file) const {
  reader::Cleaned cleaned;
  FileLines out = split(file, cleaned);
  const auto add = [&](std::uint64_t line, Group group, const std::string& key, const std::string& value) {
    std::string& meaning = out[line - 1].meaning;
    meaning += group_name(group);
    meaning += '/';
    meaning += key;
    meaning += '=';
    meaning += value;
    meaning += '\n';
  };
  std::map<Group, ItemCursor> cursors;
  for (const Origin* origin : by_file_[file].origins) {
    const bool program = origin->group == Group::programs && !is_unread(origin->key);
    if (program || origin->span.line > out.size()) continue;
    const auto& table = reading_.state.table(origin->group);
    const Item* item = cursors.try_emplace(origin->group, *table).first->second.find(origin->key);
    if (item != nullptr) add(origin->span.line, origin->group, item->key, item->value);
  }
  for (const Overruled* value : by_file_[file].overruled) {
    if (value->span.line <= out.size()) add(value->span.line, value->group, value->key + '\1', value->value);
  }
  for (const ProgramFacts* program : by_file_[file].programs) {
    std::size_t number = program->span.line;
    reader::each_program_line(*program, side_.layout.sources[program->source], side_.context.units,
                              cleaned.text, [&](std::string_view, const std::string& meaning) {
                                if (number <= out.size()) out[number - 1].meaning += meaning;
                                ++number;
                              });
  }
  return out;
}

bool Written::differs_in_values_alone(std::size_t file, const Written& other, std::size_t other_file) const {
  const InFile& mine = by_file_[file];
  const InFile& theirs = other.by_file_[other_file];
  const bool tables =
      mine.programs.empty() && theirs.programs.empty() && mine.overruled.empty() && theirs.overruled.empty();
  if (!tables || mine.origins.size() != theirs.origins.size()) return false;
  reader::Cleaned cleaned;
  reader::Cleaned other_cleaned;
  const FileLines lines = split(file, cleaned);
  const FileLines other_lines = other.split(other_file, other_cleaned);
  if (lines.size() != other_lines.size()) return false;
  std::vector<bool> changed(lines.size());
  std::map<Group, std::pair<ItemCursor, ItemCursor>> cursors;
  for (std::size_t i = 0; i < mine.origins.size(); ++i) {
    const Origin& a = *mine.origins[i];
    const Origin& b = *theirs.origins[i];
    const bool same_row = a.group == b.group && a.key == b.key && a.span.line == b.span.line;
    if (!same_row || a.span.line > lines.size()) return false;
    const auto& table = reading_.state.table(a.group);
    const auto& other_table = other.reading_.state.table(a.group);
    auto& [here, there] =
        cursors.try_emplace(a.group, ItemCursor(*table), ItemCursor(*other_table)).first->second;
    const Item* item = here.find(a.key);
    const Item* other_item = there.find(a.key);
    if (item == nullptr || other_item == nullptr) return false;
    if (item->value != other_item->value) changed[a.span.line - 1] = true;
  }
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if ((lines[i].raw == other_lines[i].raw) == changed[i]) return false;
  }
  return true;
}

std::string_view Written::value(Group group, std::string_view key, const Origin*& origin) const {
  origin = reading_.origin(group, key);
  if (origin == nullptr) return {};
  const Span& span = origin->span;
  return std::string_view(side_.set.files[span.file].bytes).substr(span.at, span.length);
}

std::vector<std::string_view> Written::program(std::string_view name, const Source*& source) const {
  std::vector<std::string_view> out;
  for (const ProgramFacts& program : reading_.programs) {
    if (program.name != name) continue;
    source = &side_.layout.sources[program.source];
    // Where the file carries parity, what a line says is not found in its bytes: no line is reported then.
    const auto lines = reader::received_lines(program, *source, side_.context.units,
                                              side_.set.files[program.span.file].bytes);
    out.insert(out.end(), lines.begin(), lines.end());
  }
  return out;
}

}  // namespace keepway
