// All of a comparison in one line.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "keepway/compare.hpp"

namespace keepway {
namespace {

std::string counted(std::size_t count, std::string_view plural) {
  const std::string_view noun = count == 1 ? plural.substr(0, plural.size() - 1) : plural;
  return fmt::format("{} {}", count, noun);
}

template <class List, class Element>
bool contains(const List& list, const Element& element) {
  return std::find(list.begin(), list.end(), element) != list.end();
}

void tell_values(const Changes& changes, Group group, std::vector<std::string>& out) {
  std::size_t changed = 0;
  std::size_t added = 0;
  std::size_t removed = 0;
  std::size_t unread = 0;
  for (const ValueChange& change : changes.values) {
    if (change.group != group) continue;
    ++(is_unread(change.key) ? unread : !change.before ? added : !change.after ? removed : changed);
  }
  const std::string_view name = group_name(group);
  if (changed > 0) out.push_back(counted(changed, name) + " changed");
  if (removed > 0) {
    out.push_back(contains(changes.gone, group) ? fmt::format("all {} gone", counted(removed, name))
                                                : counted(removed, name) + " removed");
  }
  if (added > 0) out.push_back(counted(added, name) + " added");
  if (unread > 0) out.push_back(fmt::format("{} in {} changed", counted(unread, "unread rows"), name));
}

std::string_view done_to_it(ProgramChangeKind kind) {
  switch (kind) {
    case ProgramChangeKind::added:
      return "added";
    case ProgramChangeKind::removed:
      return "removed";
    case ProgramChangeKind::changed:
      return "changed";
    case ProgramChangeKind::comments:
      return "changed in comments";
    case ProgramChangeKind::renumbered:
      return "with new line numbers";
    case ProgramChangeKind::renamed:
      return "renamed";
  }
  return "";
}

void tell_programs(const Changes& changes, std::vector<std::string>& out) {
  for (const ProgramChangeKind kind :
       {ProgramChangeKind::changed, ProgramChangeKind::removed, ProgramChangeKind::added,
        ProgramChangeKind::renamed, ProgramChangeKind::comments, ProgramChangeKind::renumbered}) {
    std::size_t count = 0;
    const ProgramChange* last = nullptr;
    for (const ProgramChange& change : changes.programs) {
      if (change.kind != kind) continue;
      ++count;
      last = &change;
    }
    if (count == 0) continue;
    if (count > 1) {
      out.push_back(fmt::format("{} {}", counted(count, "programs"), done_to_it(kind)));
    } else if (kind == ProgramChangeKind::renamed) {
      out.push_back(fmt::format("program {} renamed {}", escape(last->before_name), escape(last->name)));
    } else {
      out.push_back(fmt::format("program {} {}", escape(last->name), done_to_it(kind)));
    }
  }
}

}  // namespace

std::string gist(const Changes& changes) {
  std::vector<std::string> parts;
  for (const Group group : all_groups) tell_values(changes, group, parts);
  tell_programs(changes, parts);
  return parts.empty() ? "no change" : fmt::format("{}", fmt::join(parts, ", "));
}

}  // namespace keepway
