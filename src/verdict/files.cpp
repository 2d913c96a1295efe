#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "keepway/text.hpp"
#include "reader/binary.hpp"
#include "reader/clean.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

bool has_text(std::string_view bytes) {
  return std::any_of(bytes.begin(), bytes.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte > 0x20 && (byte & 0x7fU) != 0x7f && c != '%';
  });
}

// Whether a source reads a part of its files, which others read too.
bool is_part(const Source& source) {
  return !source.begins.empty() || !source.under.empty();
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
    // A stream of several groups is named with the first of them.
    const Source& first = input.layout.sources[taker];
    const bool in_stream = is_part(first) && has_group(input.reading.state, source.group);
    if (first.group != source.group && !in_stream) continue;
    if (match_name(source, input.set.files[i].name, input.serial) == NameMatch::yes) return true;
  }
  return false;
}

std::string what_is_missing(const Source& source) {
  const std::string files = fmt::format("{}", fmt::join(source.files, " or "));
  if (!source.under.empty())
    return fmt::format("nothing in a file like {} is under the heading {}", files, escape(source.under));
  if (!source.begins.empty())
    return fmt::format("nothing in a file like {} begins with {}", files, escape(source.begins));
  return fmt::format("no file like {}", files);
}

// A required source of the group that takes any beginning, and so is missed itself.
bool read_by_another(const Layout& layout, Group group) {
  return std::any_of(layout.sources.begin(), layout.sources.end(), [&](const Source& each) {
    return each.group == group && each.required && !is_part(each);
  });
}

void check_missing(const JudgeInput& input, Reasons& reasons) {
  bool any = false;
  std::set<Group> missed;
  for (std::size_t s = 0; s < input.layout.sources.size(); ++s) {
    const Source& source = input.layout.sources[s];
    const bool found = has_file(input, s);
    any = any || (found && source.data);
    if (!source.required || !source.data) continue;
    if (is_part(source) ? has_group(input.reading.state, source.group) : found) continue;
    if (is_part(source) && read_by_another(input.layout, source.group)) continue;
    if (is_part(source) && !missed.insert(source.group).second) continue;
    reasons.push_back(
        {Worth::doubtful,
         "group-missing",
         fmt::format("no {} in this backup: {}", group_name(source.group), what_is_missing(source)),
         fmt::format("at the machine, send the {} too, then take the backup in again",
                     group_name(source.group)),
         {},
         fmt::format("{}: {}", group_name(source.group), what_is_missing(source))});
  }
  if (!any) {
    reasons.push_back({Worth::refused,
                       "nothing-known",
                       "no file here matches this machine's layout",
                       "check the path, or correct the file patterns in the machine's layout.toml",
                       {}});
  }
}

// Whether a group lost all that it had: then the group is missed, not one file of it.
bool group_missed(const Reasons& reasons, Group group) {
  const std::string spot = fmt::format("{}: ", group_name(group));
  return std::any_of(reasons.begin(), reasons.end(), [&](const Reason& reason) {
    return reason.code == "group-missing" && reason.spot.starts_with(spot);
  });
}

// Files of the baseline that are not here. Of programs that have a file each, the programs are looked at.
void check_gone_files(const Case& in, Reasons& reasons) {
  const JudgeInput& input = in.input();
  for (const std::size_t gone : in.gone()) {
    const Source* source = in.source_was(gone);
    const std::string name = escape(in.name_was(gone));
    const bool is_kept_alone = source == nullptr || !source->data;
    if (is_kept_alone)
      reasons.push_back({Worth::good,
                         "file-gone",
                         fmt::format("{} was in {} and is not here", name, in.before_name()),
                         "nothing to do, unless the control writes it with each backup",
                         {},
                         name});
    if (is_kept_alone || source->reader == ReaderKind::blocks) continue;
    if (group_missed(reasons, source->group)) continue;
    const bool other_name = std::any_of(input.reading.files.begin(), input.reading.files.end(),
                                        [](const FileFacts& facts) { return facts.wrong_serial; });
    if (other_name) continue;  // reported as that
    reasons.push_back(
        {Worth::doubtful,
         "file-missing",
         fmt::format("{} ({}) was in {} and is not here", name, group_name(source->group), in.before_name()),
         fmt::format("at the machine, send the {} again, then take the backup in again",
                     group_name(source->group)),
         {},
         name});
  }
}

// By file, whether anything was read from it: not so of one that holds nothing but its heading or its marks.
// What another file holds too was read from both.
std::vector<bool> files_read(const JudgeInput& input) {
  std::vector<bool> read(input.set.files.size());
  for (std::size_t i = 0; i < read.size(); ++i) read[i] = input.reading.files[i].items > 0;
  for (const Origin& origin : input.reading.origins) read[origin.span.file] = true;
  return read;
}

// Whether the baseline's file had none either: some tables are empty by nature.
bool had_no_rows(Case& in, std::size_t file) {
  const Pair* pair = in.pair_of(file);
  if (pair == nullptr) return false;
  return pair->same || in.reading_was(*pair).origins.empty();
}

}  // namespace

void check_files(Case& in, Reasons& reasons) {
  const JudgeInput& input = in.input();
  check_missing(input, reasons);
  check_gone_files(in, reasons);
  const std::vector<bool> read = files_read(input);
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
        reader::Cleaned cleaned;
        reader::clean(file.bytes, file.name, cleaned);
        const bool binary = reader::is_binary(cleaned.text);
        reasons.push_back({Worth::good, "file-unclaimed",
                           fmt::format("{}: {}; kept as it is", name,
                                       binary ? "no text of a control (a picture, or what a PC wrote)"
                                              : "no group of the layout claims this file"),
                           binary ? "leave it out if it came onto the medium by mistake"
                                  : "add its pattern to the machine's layout.toml if the control wrote it",
                           Place{name}});
      }
    } else if (!has_text(file.bytes)) {
      const std::string_view group = group_name(input.layout.sources[facts.source].group);
      reasons.push_back(
          {Worth::doubtful, "file-empty", fmt::format("{}: the file is empty ({})", name, group),
           fmt::format("at the machine, send the {} again and look at the file's size", group), Place{name}});
    } else if (!read[i] && input.layout.sources[facts.source].data &&
               (input.layout.sources[facts.source].required || in.pair_of(i) != nullptr) &&
               !had_no_rows(in, i)) {
      const std::string_view group = group_name(input.layout.sources[facts.source].group);
      reasons.push_back(
          {Worth::doubtful, "no-rows", fmt::format("{}: the file is there, but holds no {}", name, group),
           fmt::format("at the machine, check whether the {} are there, and send them again", group),
           Place{name}});
    }
  }
}

}  // namespace keepway::verdict
