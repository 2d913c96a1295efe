#include "verdict/case.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <set>
#include <unordered_map>

namespace keepway::verdict {
namespace {

const Source* claiming(const Layout& layout, std::string_view name, std::string_view serial) {
  for (const Source& source : layout.sources) {
    if (match_name(source, name, serial) == NameMatch::yes) return &source;
  }
  return nullptr;
}

// Whether each of a source's files is a program, and one of another name another program: not so where one
// file held all programs.
bool is_file_a_program(const Source& source, const Previous* before) {
  if (source.reader != ReaderKind::blocks) return false;
  return source.program == ProgramIs::file || before == nullptr || before->state.programs.size() < 2;
}

}  // namespace

Case::Case(const JudgeInput& input) : input_(input) {
  if (before() != nullptr) find_changed();
  if (input.old_files != nullptr) pair_files();
}

void Case::find_changed() {
  const State& was = before()->state;
  const State& now = input_.reading.state;
  const bool made = input_.changes != nullptr && before() == input_.last;
  if (!made) own_changes_ = compare(was, now);
  const Changes& changes = made ? *input_.changes : *own_changes_;
  const auto in_both = [&](const ValueChange& change) {
    return change.group != Group::programs && was.table(change.group) && now.table(change.group);
  };
  std::copy_if(changes.values.begin(), changes.values.end(), std::back_inserter(changed_), in_both);
  for (const ProgramChange& change : changes.programs) {
    const Program* program = now.program(change.name);
    if (program != nullptr) changed_programs_.push_back({*program, was.program(change.name), change.blocks});
  }
}

void Case::pair_files() {
  const auto& list = input_.old_files->list;
  std::unordered_map<std::string_view, std::size_t> by_name;
  for (std::size_t i = 0; i < list.size(); ++i) by_name.emplace(list[i].name, i);
  std::vector<bool> paired(list.size());
  std::vector<std::size_t> come;
  std::set<const Source*> others;  // of which a file has its old name
  for (std::size_t i = 0; i < input_.set.files.size(); ++i) {
    const auto found = by_name.find(input_.set.files[i].name);
    if (found == by_name.end()) {
      come.push_back(i);
      continue;
    }
    pairs_.push_back({i, found->second, list[found->second].same});
    paired[found->second] = true;
    others.insert(source_now(i));
  }
  // A control that writes the date into its files' names never gives one name twice.
  std::map<const Source*, std::vector<std::size_t>> left;
  std::map<const Source*, std::vector<std::size_t>> fresh;
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (!paired[i]) left[source_was(i)].push_back(i);
  }
  for (const std::size_t i : come) fresh[source_now(i)].push_back(i);
  for (const auto& [source, files] : left) {
    const auto counterpart = fresh.find(source);
    const bool alone = source != nullptr && files.size() == 1 && counterpart != fresh.end() &&
                       counterpart->second.size() == 1;
    if (alone && !(is_file_a_program(*source, before()) || others.contains(source))) {
      pairs_.push_back({counterpart->second.front(), files.front(), false});
    } else {
      gone_.insert(gone_.end(), files.begin(), files.end());
    }
  }
  std::sort(gone_.begin(), gone_.end());
  pair_at_.assign(input_.set.files.size(), std::string::npos);
  for (std::size_t i = 0; i < pairs_.size(); ++i) pair_at_[pairs_[i].now] = i;
}

const Pair* Case::pair_of(std::size_t now) const {
  const bool paired = now < pair_at_.size() && pair_at_[now] < pairs_.size();
  return paired ? &pairs_[pair_at_[now]] : nullptr;
}

std::string_view Case::was(const Pair& pair) {
  if (pair.same) return now(pair);
  const auto known = bytes_.find(pair.was);
  if (known != bytes_.end()) return known->second;
  return bytes_.emplace(pair.was, input_.old_files->read(pair.was)).first->second;
}

const std::vector<TextLine>& Case::lines_now(const Pair& pair) {
  const auto known = lines_now_.find(pair.now);
  return known != lines_now_.end() ? known->second
                                   : lines_now_.emplace(pair.now, lines_of(now(pair))).first->second;
}

const std::vector<TextLine>& Case::lines_was(const Pair& pair) {
  const auto known = lines_was_.find(pair.was);
  return known != lines_was_.end() ? known->second
                                   : lines_was_.emplace(pair.was, lines_of(was(pair))).first->second;
}

const Source* Case::source_now(std::size_t file) const {
  const std::uint32_t source = input_.reading.files[file].source;
  return source == FileFacts::no_source ? nullptr : &input_.layout.sources[source];
}

const Source* Case::source_was(std::size_t file) const {
  return claiming(input_.layout, name_was(file), input_.serial);
}

const Reading& Case::reading_was(const Pair& pair) {
  const auto known = readings_.find(pair.was);
  if (known != readings_.end()) return known->second;
  const std::vector<OriginalView> views = {{name_was(pair.was), was(pair)}};
  return readings_.emplace(pair.was, read_backup(input_.layout, {input_.serial, input_.units}, views))
      .first->second;
}

const Previous* Case::witness() const {
  const Previous* last = input_.last;
  return last == nullptr || last == before() || last->at >= input_.at || input_.repeat ? nullptr : last;
}

std::string Case::before_name() const {
  const Previous* last = before();
  return last == nullptr || last->number == 0 ? "the last one" : fmt::format("#{}", last->number);
}

}  // namespace keepway::verdict
