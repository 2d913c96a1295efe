// A whole backup: every file by its source, on two threads when there is much of it.
#include <algorithm>
#include <utility>

#include "base/digit.hpp"
#include "base/parallel.hpp"
#include "reader/blank_lines.hpp"
#include "reader/clean.hpp"
#include "reader/decode.hpp"
#include "reader/join.hpp"
#include "reader/lines.hpp"
#include "reader/memory.hpp"
#include "reader/stream.hpp"
#include "reader/text.hpp"

namespace keepway {
namespace reader {
namespace {

// Below this many bytes a second thread costs more than it brings.
constexpr std::size_t thread_bytes = 1 << 17;

void read_part(const Input& input, Output& output) {
  switch (input.source.reader) {
    case ReaderKind::blocks:
      return read_blocks(input, output);
    case ReaderKind::words:
      return read_words(input, output);
    case ReaderKind::assign:
      return read_assign(input, output);
    case ReaderKind::columns:
      return read_columns(input, output);
    case ReaderKind::sections:
      return read_sections(input, output);
  }
}

constexpr std::size_t max_unread_line = 64 << 10;

// A table that was over a bound: nothing of it was read.
bool gave_up(const Output& output) {
  const auto too_large = [](const Oddity& oddity) { return oddity.kind == OddityKind::too_large; };
  return output.items.empty() && output.unread.empty() && output.programs.empty() &&
         std::any_of(output.oddities.begin(), output.oddities.end(), too_large);
}

// A mark or a rule: neither letter nor digit.
bool says_nothing(std::string_view text) {
  return std::none_of(text.begin(), text.end(), [](char c) {
    return is_digit(c) || is_letter(c) || static_cast<unsigned char>(c) >= 0x80;
  });
}

// A part of a stream that no source takes: every line is unread, in the group of the file's first source.
void read_none(const Input& input, Output& output) {
  Lines lines(input.text, input.first_line);
  Line line;
  bool noted = false;
  while (lines.next(line)) {
    const std::string_view text = trim(line.text);
    if (says_nothing(text)) continue;
    const std::uint64_t at =
        input.base + line.at + static_cast<std::uint64_t>(text.data() - line.text.data());
    output.unread.push_back({input.source.group,
                             std::string(text.substr(0, max_unread_line)),
                             {input.file, at, text.size(), line.number}});
    if (noted) continue;
    noted = true;
    output.oddities.push_back({OddityKind::unread, Place{std::string(input.name), line.number, at},
                               "no source of the layout fits this part of the file", input.source.group});
  }
}

}  // namespace

void read_file(const Layout& layout, const ReadContext& context, const OriginalView& original,
               std::uint32_t index, FileOutput& out) {
  const Candidates candidates = find_candidates(layout, original.name, context.serial);
  if (candidates.sources.empty()) return;
  out.facts.source = candidates.sources.front();
  out.facts.wrong_serial = candidates.wrong_serial;
  Cleaned cleaned;
  clean(original.bytes, original.name, cleaned);
  out.facts.parity = cleaned.parity;
  out.oddities = std::move(cleaned.oddities);
  bool taken = false;
  for (const Part& part : cut_stream(layout, candidates, cleaned.text)) {
    const bool none = part.source == FileFacts::no_source;
    const std::uint32_t source = none ? candidates.sources.front() : part.source;
    if (!none && !std::exchange(taken, true)) out.facts.source = source;
    Output output;
    std::string blanked;
    Input input{index,           original.name,          part.text, part.base,
                part.first_line, layout.sources[source], source,    context.units};
    input.text = blank_lines(input, context.serial, blanked, output.oddities);
    if (none) {
      read_none(input, output);
    } else if (input.source.data) {
      read_part(input, output);
      decode(input.source, output);
    }
    if (gave_up(output)) {  // so that it does not count as a table that is empty
      std::move(output.oddities.begin(), output.oddities.end(), std::back_inserter(out.oddities));
      continue;
    }
    out.facts.items += output.items.size() + output.programs.size();
    out.parts.push_back({source, std::move(output)});
  }
  for (Oddity& oddity : out.oddities) oddity.group = layout.sources[out.facts.source].group;
}

}  // namespace reader

Reading read_backup(const Layout& layout, const ReadContext& context, const std::vector<OriginalView>& files,
                    ReadingMemory* memory, const OnProgress& on_progress) {
  std::vector<reader::FileOutput> outputs(files.size());
  std::vector<std::size_t> to_read;
  if (memory != nullptr) memory->impl().begin();
  std::size_t bytes = 0;
  for (std::size_t i = 0; i < files.size(); ++i) {
    auto same =
        memory != nullptr ? memory->impl().find(files[i], static_cast<std::uint32_t>(i)) : std::nullopt;
    if (same) {
      outputs[i] = std::move(*same);
    } else {
      to_read.push_back(i);
      bytes += files[i].bytes.size();
    }
  }
  Count count(on_progress, "files understood", files.size(), files.size() - to_read.size());
  in_parallel(to_read.size(), bytes > reader::thread_bytes, [&](std::size_t n) {
    const std::size_t i = to_read[n];
    reader::read_file(layout, context, files[i], static_cast<std::uint32_t>(i), outputs[i]);
    count.one();
  });
  if (memory != nullptr) {
    for (const std::size_t i : to_read) memory->impl().keep(files[i], outputs[i]);
  }
  return reader::join(layout, std::move(outputs), files);
}

const Origin* Reading::origin(Group group, std::string_view key) const {
  const auto less = [](const Origin& a, const std::pair<Group, std::string_view>& b) {
    if (a.group != b.first) return a.group < b.first;
    return natural_order(a.key, b.second) < 0;
  };
  const auto found = std::lower_bound(origins.begin(), origins.end(), std::pair{group, key}, less);
  return found != origins.end() && found->group == group && found->key == key ? &*found : nullptr;
}

}  // namespace keepway
