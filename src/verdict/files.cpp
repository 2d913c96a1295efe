#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

bool has_text(std::string_view bytes) {
  return std::any_of(bytes.begin(), bytes.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte > 0x20 && (byte & 0x7fU) != 0x7f && c != '%';
  });
}

// Sources that share a stream (or are forms of one file) all have its name; whether one was there shows by
// its group alone.
bool has_group(const State& state, Group group) {
  return group == Group::programs ? !state.programs.empty() : state.table(group).has_value();
}

// Whether a file of this source came: one that it took, or one of its name that another source of the same
// group took. Two forms of one file (a tool table in columns or in words) are two sources, and one is enough.
bool has_file(const JudgeInput& input, std::size_t wanted) {
  const Source& source = input.layout.sources[wanted];
  for (std::size_t i = 0; i < input.reading.files.size(); ++i) {
    const std::uint32_t taker = input.reading.files[i].source;
    if (taker == wanted) return true;
    if (taker == FileFacts::no_source) continue;
    // A stream of several groups stands with the first of them.
    const Source& first = input.layout.sources[taker];
    const bool in_stream = !first.begins.empty() && has_group(input.reading.state, source.group);
    if (first.group != source.group && !in_stream) continue;
    if (match_name(source, input.set.files[i].name, input.serial) == NameMatch::yes) return true;
  }
  return false;
}

// A required source of the group that takes any beginning, and so is missed itself.
bool told_by_another(const Layout& layout, Group group) {
  return std::any_of(layout.sources.begin(), layout.sources.end(), [&](const Source& each) {
    return each.group == group && each.required && each.begins.empty();
  });
}

void check_missing(const JudgeInput& input, Reasons& reasons) {
  bool any = false;
  std::set<Group> missed;
  for (std::size_t s = 0; s < input.layout.sources.size(); ++s) {
    const Source& source = input.layout.sources[s];
    const bool found = has_file(input, s);
    any = any || found;
    if (!source.required) continue;
    if (source.begins.empty() ? found : has_group(input.reading.state, source.group)) continue;
    if (!source.begins.empty() && told_by_another(input.layout, source.group)) continue;
    if (!source.begins.empty() && !missed.insert(source.group).second) continue;
    const std::string files = fmt::format("{}", fmt::join(source.files, " or "));
    const std::string why = source.begins.empty() ? fmt::format("no file like {}", files)
                                                  : fmt::format("nothing in a file like {} begins with {}",
                                                                files, escape(source.begins));
    reasons.push_back({Worth::doubtful,
                       "group-missing",
                       fmt::format("no {} in this backup: {}", group_name(source.group), why),
                       fmt::format("at the machine, send the {} too, then take the backup in again",
                                   group_name(source.group)),
                       {}});
  }
  if (!any) {
    reasons.push_back({Worth::refused,
                       "nothing-known",
                       "not one file here is of a kind that this machine's layout knows",
                       "check the path, or mend the file patterns in the machine's layout.toml",
                       {}});
  }
}

}  // namespace

void check_files(const JudgeInput& input, Reasons& reasons) {
  check_missing(input, reasons);
  for (std::size_t i = 0; i < input.reading.files.size(); ++i) {
    const FileFacts& facts = input.reading.files[i];
    const media::File& file = input.set.files[i];
    const std::string name = escape(file.name);
    if (facts.wrong_serial) {
      reasons.push_back(
          {Worth::refused, "wrong-serial",
           fmt::format("{}: the name does not carry this machine's serial, {}", name, escape(input.serial)),
           "make sure that these files came off this machine: look at the serial on its nameplate",
           Place{name}});
    }
    if (facts.source == FileFacts::no_source) {
      if (!facts.wrong_serial) {
        reasons.push_back({Worth::good, "file-unclaimed",
                           fmt::format("{}: no group of the layout claims this file; kept as it is", name),
                           "add its pattern to the machine's layout.toml if the control wrote it",
                           Place{name}});
      }
    } else if (!has_text(file.bytes)) {
      const std::string_view group = group_name(input.layout.sources[facts.source].group);
      reasons.push_back(
          {Worth::doubtful, "file-empty", fmt::format("{}: the file is empty ({})", name, group),
           fmt::format("at the machine, send the {} again and look at the file's size", group), Place{name}});
    }
  }
}

}  // namespace keepway::verdict
