#include "restore/program_edit.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "base/parity.hpp"
#include "keepway/text.hpp"
#include "reader/read_set.hpp"

namespace keepway::restore {
namespace {

bool is_line_end(char c) {
  return c == '\n' || c == '\r';
}

bool ends_line(std::string_view text) {
  return !text.empty() && is_line_end(text.back());
}

// How the lines of a text end: as its first one does; LF when there is none.
std::string_view line_end_of(std::string_view text) {
  const std::size_t at = text.find_first_of("\r\n");
  if (at == std::string_view::npos) return "\n";
  const bool two = at + 1 < text.size() && is_line_end(text[at + 1]) && text[at + 1] != text[at];
  return text.substr(at, two ? 2 : 1);
}

bool by_name(const ProgramFacts* a, const ProgramFacts* b) {
  return natural_order(a->name, b->name) < 0;
}

}  // namespace

ProgramEdits::FilesOf::FilesOf(const Reading& reading)
    : programs(reading.files.size()), unread(reading.files.size()), values(reading.files.size(), false) {
  for (const ProgramFacts& facts : reading.programs) programs[facts.span.file].push_back(&facts);
  for (const Origin& origin : reading.origins) {
    if (origin.group != Group::programs) {
      values[origin.span.file] = true;
    } else if (is_unread(origin.key)) {
      unread[origin.span.file].push_back(&origin);
    }
  }
  const auto by_place = [](const auto* a, const auto* b) { return a->span.at < b->span.at; };
  for (auto& each : programs) std::sort(each.begin(), each.end(), by_place);
  for (auto& each : unread) std::sort(each.begin(), each.end(), by_place);
}

ProgramEdits::ProgramEdits(const ComposeInput& input, const Reading& now, Edits& edits)
    : input_(input), now_(now), edits_(edits), files_(now), donors_(input.donors.size()) {}

Refusal ProgramEdits::refusal(const WantedChange& change, std::string why, std::string remedy) const {
  Refusal out{change.address, std::move(why), std::move(remedy), {}};
  if (out.remedy.empty()) out.remedy = "put the whole file back instead, by its group";
  if (const Origin* origin = now_.origin(Group::programs, change.address.key)) {
    out.place = {input_.newest.files[origin->span.file].name, origin->span.line, origin->span.at};
  }
  return out;
}

void ProgramEdits::note_unread(const FilesOf& files, const Span& span) {
  const auto& rows = files.unread[span.file];
  auto row = std::lower_bound(rows.begin(), rows.end(), span.at,
                              [](const Origin* a, std::uint64_t at) { return a->span.at < at; });
  for (; row != rows.end() && (*row)->span.at < span.at + span.length; ++row) unread_.insert((*row)->key);
}

const ProgramEdits::DonorRead& ProgramEdits::donor(std::size_t index) {
  if (!donors_[index]) {
    const Donor& from = input_.donors[index];
    donors_[index] = std::make_unique<DonorRead>(read_set(from.set, from.layout, from.context));
  }
  return *donors_[index];
}

// The first donor that holds the program with the very text that it shall have. `other_text`: one holds it
// with another text.
std::optional<ProgramEdits::Donation> ProgramEdits::find_donation(const WantedChange& change,
                                                                  bool& other_text) {
  for (std::size_t i = 0; i < donors_.size(); ++i) {
    const Reading& reading = donor(i).reading;
    const Program* program = reading.state.program(change.address.key);
    if (program == nullptr) continue;
    if (program->text != *change.after) {
      other_text = true;
      continue;
    }
    const auto facts = std::lower_bound(
        reading.programs.begin(), reading.programs.end(), change.address.key,
        [](const ProgramFacts& a, const std::string& name) { return natural_order(a.name, name) < 0; });
    const Span& span = facts->span;
    const std::string_view bytes =
        std::string_view(input_.donors[i].set.files[span.file].bytes).substr(span.at, span.length);
    const bool parity = reading.files[span.file].parity;
    return Donation{i, &*facts, parity ? without_parity(bytes) : std::string(bytes)};
  }
  return std::nullopt;
}

std::optional<Refusal> ProgramEdits::remove(const WantedChange& change) {
  const Span span = now_.origin(Group::programs, change.address.key)->span;
  note_unread(files_, span);
  if (files_.programs[span.file].size() == 1 && !files_.values[span.file]) {
    note_unread(files_, {span.file, 0, input_.newest.files[span.file].bytes.size(), 1});
    edits_.drop(span.file);
    return std::nullopt;
  }
  (void)edits_.replace(span.file, span.at, span.length, {});  // nothing to put in: any file can hold it
  return std::nullopt;
}

std::optional<Refusal> ProgramEdits::exchange(const WantedChange& change) {
  bool other_text = false;
  const std::optional<Donation> donation = find_donation(change, other_text);
  if (!donation) {
    return refusal(change,
                   other_text ? "the originals of that backup hold a different text from its state"
                              : "the originals of that backup do not hold it",
                   "choose a backup whose originals hold it");
  }
  const Span span = now_.origin(Group::programs, change.address.key)->span;
  const std::string_view text = edits_.text(span.file);
  std::string put = donation->text;
  const bool more = span.at + span.length < text.size();
  if (!ends_line(put) && (more || ends_line(text.substr(span.at, span.length)))) put += line_end_of(text);
  note_unread(files_, span);
  note_unread(donor(donation->donor).files, donation->facts->span);
  if (!edits_.replace(span.file, span.at, span.length, put)) {
    return refusal(change, "the file has 7-bit bytes with parity, and the program needs 8 bits");
  }
  return std::nullopt;
}

void ProgramEdits::index_hosts() {
  if (hosts_known_) return;
  hosts_known_ = true;
  for (std::uint32_t file = 0; file < files_.programs.size(); ++file) {
    if (edits_.dropped(file)) continue;
    const std::size_t count = files_.programs[file].size();
    host_by_name_.emplace(lower(input_.newest.files[file].name), file);
    if (count > 1 && (!largest_ || count > files_.programs[*largest_].size())) largest_ = file;
  }
}

ProgramEdits::Host ProgramEdits::find_host(const Donation& donation) {
  index_hosts();
  const FilesOf& files = donor(donation.donor).files;
  const std::uint32_t from = donation.facts->span.file;
  const std::string& name = input_.donors[donation.donor].set.files[from].name;
  if (const auto same = host_by_name_.find(lower(name)); same != host_by_name_.end()) {
    const std::size_t count = files_.programs[same->second].size();
    if (count > 1 || (files.programs[from].size() > 1 && count == 1)) return {same->second, {}};
    return {std::nullopt,
            fmt::format("the newest originals have a file {} with other content", escape(name))};
  }
  if (!largest_ && files.values[from]) {
    return {std::nullopt, fmt::format("it shares the file {} with tables", escape(name))};
  }
  return {largest_, {}};
}

std::optional<Refusal> ProgramEdits::add(const WantedChange& change) {
  bool other_text = false;
  const std::optional<Donation> donation = find_donation(change, other_text);
  if (!donation) {
    return refusal(change, "the originals of that backup do not hold it",
                   "choose a backup whose originals hold it");
  }
  const Host host = find_host(*donation);
  if (!host.why.empty()) return refusal(change, host.why);
  note_unread(donor(donation->donor).files, donation->facts->span);
  if (!host.file) {
    new_files_[{donation->donor, donation->facts->span.file}].insert(change.address.key);
    return std::nullopt;
  }
  // Into the file's order when it has one, else behind its last program, in front of the closing mark.
  const auto& programs = files_.programs[*host.file];
  std::uint64_t at = programs.back()->span.at + programs.back()->span.length;
  if (std::is_sorted(programs.begin(), programs.end(), by_name)) {
    const auto next = std::upper_bound(programs.begin(), programs.end(), donation->facts, by_name);
    if (next != programs.end()) at = (*next)->span.at;
  }
  const std::string_view text = edits_.text(*host.file);
  std::string put = donation->text;
  if (!ends_line(put)) put += line_end_of(text);
  const std::size_t above = text.substr(0, at).find_last_not_of(" \t");
  if (above != std::string_view::npos && !is_line_end(text[above]) && text[above] != '%') {
    put.insert(0, line_end_of(text));
  }
  if (!edits_.replace(*host.file, at, 0, put)) {
    return refusal(change, "the file has 7-bit bytes with parity, and the program needs 8 bits");
  }
  return std::nullopt;
}

// The donor's file as it is, without those of its programs that were not asked for.
void ProgramEdits::finish() {
  for (const auto& [from, names] : new_files_) {
    const auto& [index, file] = from;
    media::File made = input_.donors[index].set.files[file];
    std::vector<Span> cut;
    for (const ProgramFacts* facts : donor(index).files.programs[file]) {
      if (!names.contains(facts->name)) cut.push_back(facts->span);
    }
    std::string bytes;
    std::size_t at = 0;
    for (const Span& span : cut) {
      bytes.append(made.bytes, at, span.at - at);
      at = span.at + span.length;
    }
    bytes.append(made.bytes, at);
    made.bytes = std::move(bytes);
    edits_.add_file(std::move(made));
  }
}

}  // namespace keepway::restore
