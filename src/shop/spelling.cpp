// What differs between two backups' files beside what they say.
#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <functional>
#include <map>
#include <optional>

#include "base/encoding.hpp"
#include "keepway/machine.hpp"
#include "keepway/trial.hpp"
#include "reader/clean.hpp"
#include "reader/lines.hpp"
#include "reader/read_set.hpp"
#include "shop/backup_commit.hpp"
#include "shop/read_as.hpp"
#include "shop/readings.hpp"
#include "shop/stored_set.hpp"
#include "spelling/written.hpp"

namespace keepway {
namespace {

// The files of one side that the other does not have with the same bytes.
std::vector<store::Blob> differing(const std::vector<store::Blob>& blobs,
                                   const std::vector<store::Blob>& others) {
  std::map<std::string_view, std::string_view> ids;
  for (const store::Blob& other : others) ids.emplace(other.path, other.id);
  std::vector<store::Blob> out;
  for (const store::Blob& blob : blobs) {
    const auto other = ids.find(blob.path);
    if (other == ids.end() || other->second != blob.id) out.push_back(blob);
  }
  return out;
}

template <class Read>
media::Set differing_set(const std::vector<store::Blob>& blobs, const std::vector<store::Blob>& others,
                         const Read& read) {
  return stored_set(
      differing(blobs, others), [](const store::Blob& blob) { return blob.path; }, read);
}

// How one side's files are read.
struct SideRead {
  const Layout& layout;
  ReadContext context;
};
// The files of a side: those that differ, or all.
using Files = std::function<media::Set(bool all)>;

// Compares the files that differ alone, and only where those do not tell what counts all of them. What
// `memory` holds of either side's files is not read again.
std::vector<SpelledFile> compare_sides(const SideRead& was_read, const SideRead& is_read,
                                       const Files& was_files, const Files& is_files, ReadingMemory* memory,
                                       Changes& changes) {
  const auto compared = [&](bool all) -> std::optional<std::vector<SpelledFile>> {
    const media::Set was = was_files(all);
    const media::Set is = is_files(all);
    const auto read = [&](const SpelledSide& side) {
      return Written(side, memory != nullptr ? read_beside(side.set, side.layout, side.context, *memory)
                                             : read_set(side.set, side.layout, side.context));
    };
    const SpelledSide before{was, was_read.layout, was_read.context};
    const SpelledSide after{is, is_read.layout, is_read.context};
    const Written was_written = read(before);
    const Written is_written = read(after);
    if (!all && need_all_files(was_written, is_written, changes)) return std::nullopt;
    return compare_spelling(was_written, is_written, changes);
  };
  auto some = compared(false);
  return some ? std::move(*some) : *compared(true);
}

}  // namespace

std::vector<SpelledFile> Machine::spelling(const Backup& from, const Backup& to, Changes& changes) const {
  // A kept trial's state is beside main's originals.
  if (from.digest == to.digest || !from.kept.empty() || !to.kept.empty()) return {};
  try {
    return spelling_of(from, to, changes);
  } catch (const Error& lost) {
    if (lost.kind() != ErrorKind::store) throw;
    repository_.say_lost(
        fmt::format(
            "the files of backup {} or {}, or the layout of that time, are lost in part: where they are "
            "only spelled otherwise is not listed",
            name_of(from), name_of(to)),
        {name_of(from), name_of(to)});
    return {};
  }
}

std::vector<SpelledFile> Machine::spelling_of(const Backup& from, const Backup& to, Changes& changes) const {
  const std::vector<store::Blob> before = repository_.list(from.commit, "originals/");
  const std::vector<store::Blob> after = repository_.list(to.commit, "originals/");
  const std::vector<store::Blob> none;
  const auto read = [&](const store::Blob& blob) { return repository_.read(blob.id); };
  const Files was = [&](bool all) { return differing_set(before, all ? none : after, read); };
  const Files is = [&](bool all) { return differing_set(after, all ? none : before, read); };
  const ReadAs was_as = read_as(*this, from.commit);
  const ReadAs is_as = read_as(*this, to.commit);
  const ReadAs today = read_as_today(*this);
  if (was_as == today && is_as == today) {
    ReadingMemory memory = readings().get();
    return compare_sides({layout_, was_as.context}, {layout_, is_as.context}, was, is, &memory, changes);
  }
  const Layout was_layout = parse_layout(was_as.layout, "layout.toml");
  const Layout is_layout = parse_layout(is_as.layout, "layout.toml");
  return compare_sides({was_layout, was_as.context}, {is_layout, is_as.context}, was, is, nullptr, changes);
}

namespace {

using ReceivedPrograms = std::map<std::string, ReceivedProgram, std::less<>>;

// The programs in some of a backup's originals. A file that holds none need not be read.
ReceivedPrograms received_programs(const store::Repository& repository, std::vector<store::Blob> blobs,
                                   const Layout& layout, const ReadContext& context) {
  std::erase_if(blobs, [&](const store::Blob& blob) {
    std::string empty_folder;
    const auto name = original_name(blob.path, &empty_folder);
    return !name || std::none_of(layout.sources.begin(), layout.sources.end(), [&](const Source& source) {
      return source.reader == ReaderKind::blocks &&
             match_name(source, *name, context.serial) != NameMatch::no;
    });
  });
  const media::Set set = stored_set(
      blobs, [](const store::Blob& blob) { return blob.path; },
      [&](const store::Blob& blob) { return repository.read(blob.id); });
  const Reading reading = read_set(set, layout, context);
  ReceivedPrograms out;
  std::deque<reader::Cleaned> texts;  // of the files, in their order
  for (const media::File& file : set.files) reader::clean(file.bytes, file.name, texts.emplace_back());
  for (const ProgramFacts& program : reading.programs) {
    const media::File& file = set.files[program.span.file];
    ReceivedProgram received{{}, file.name, program.span.line};
    reader::Lines lines(texts[program.span.file].text.substr(program.span.at, program.span.length));
    while (lines.next()) (received.text += lines.line()) += '\n';
    received.text = Encoding(layout.sources[program.source].encoding).to_utf8(received.text);
    out.emplace(program.name, std::move(received));
  }
  return out;
}

}  // namespace

std::optional<ReceivedProgram> Machine::received(const store::Oid& commit, const std::string& program) const {
  try {
    return received_from(commit, program);
  } catch (const Error& lost) {
    if (lost.kind() != ErrorKind::store) throw;
    const auto backup = backup_from_commit(repository_.info(commit));
    repository_.say_lost(
        fmt::format(
            "the file with program {} of some backups, or their layout, is lost: its normal form is shown",
            escape(program)),
        backup ? std::vector<std::string>{name_of(*backup)} : std::vector<std::string>());
    return std::nullopt;
  }
}

std::optional<ReceivedProgram> Machine::received_from(const store::Oid& commit,
                                                      const std::string& program) const {
  const Address address{Group::programs, program};
  store::Oid holder = commit;  // of a kept trial's programs some are in the trial's originals
  for (const Carried& each : carried_items(repository_, commit)) {
    if (each.address == address) holder = each.commit;
  }
  // Whole backups are held, the last few: their programs are mostly asked for one after the other.
  constexpr std::size_t most = 4;
  auto held = received_.find(holder);
  if (held == received_.end()) {
    const ReadAs as = read_as(*this, holder);
    const Layout layout = parse_layout(as.layout, "layout.toml");
    const std::vector<store::Blob> all = repository_.list(holder, "originals/");
    // A program that came or changed with this backup is in a file that did.
    const auto parents = repository_.info(holder).parents;
    if (!parents.empty()) {
      const auto changed = differing(all, repository_.list(parents.front(), "originals/"));
      ReceivedPrograms some = received_programs(repository_, changed, layout, as.context);
      if (const auto found = some.find(program); found != some.end()) return std::move(found->second);
    }
    if (received_.size() >= most) received_.clear();
    held = received_.emplace(holder, received_programs(repository_, all, layout, as.context)).first;
  }
  const auto found = held->second.find(program);
  return found == held->second.end() ? std::nullopt : std::optional(found->second);
}

std::optional<std::vector<SpelledFile>> Machine::spelled_since(const Backup& last,
                                                               const Inspection& inspection) const {
  try {
    const std::vector<OriginalFile> files = original_files(inspection.set, inspection.sums.files);
    std::vector<std::string_view> contents;
    std::vector<std::optional<Sha256>> sums;
    for (const OriginalFile& file : files) {
      contents.push_back(file.bytes);
      sums.push_back(file.sum);
    }
    const std::vector<store::Oid> ids = repository_.blob_ids(contents, sums);
    std::vector<store::Blob> after;
    for (std::size_t i = 0; i < files.size(); ++i) after.push_back({files[i].path, ids[i]});
    const std::vector<store::Blob> before = repository_.list(last.commit, "originals/");
    const std::vector<store::Blob> none;
    const Files was = [&](bool all) {
      return differing_set(before, all ? none : after,
                           [&](const store::Blob& blob) { return repository_.read(blob.id); });
    };
    std::map<std::string_view, std::string_view> bytes;
    for (const OriginalFile& file : files) bytes.emplace(file.path, file.bytes);
    const Files is = [&](bool all) {
      return differing_set(after, all ? none : before,
                           [&](const store::Blob& blob) { return std::string(bytes.at(blob.path)); });
    };
    const ReadAs as = read_as(*this, last.commit);
    const ReadContext now = read_context();
    Changes changes = inspection.changes;
    if (inspection.memory && as == read_as_today(*this))
      return compare_sides({layout_, as.context}, {layout_, now}, was, is, inspection.memory.get(), changes);
    const Layout was_layout = parse_layout(as.layout, "layout.toml");
    return compare_sides({was_layout, as.context}, {layout_, now}, was, is, nullptr, changes);
  } catch (const Error& lost) {
    if (lost.kind() != ErrorKind::store) throw;
    repository_.say_lost(
        fmt::format("the files of backup {} are lost in part: what is only spelled otherwise "
                    "since then is not known",
                    name_of(last)),
        {name_of(last)});
    return std::nullopt;
  }
}

void Machine::set_gist(Inspection& inspection) const {
  inspection.gist = gist(inspection.changes);
  const std::optional<Backup>& last = inspection.last;
  if (!inspection.changes.empty() || !last || last->digest == inspection.sums.digest) return;
  // The state of a kept trial is beside main's originals.
  const auto spelled = last->kept.empty() ? spelled_since(*last, inspection) : std::nullopt;
  inspection.gist = spelled ? keepway::gist(*spelled) : "the values are the same";
}

void Machine::set_beside(Inspection& inspection) const {
  const std::optional<Backup>& last = inspection.last;
  if (inspection.changes.empty() || !last || !last->kept.empty() || last->digest == inspection.sums.digest)
    return;
  if (const auto spelled = spelled_since(*last, inspection)) inspection.beside = gist_beside(*spelled);
}

}  // namespace keepway
