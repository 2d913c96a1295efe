#include "restore/program_edit.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "restore/parity.hpp"

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

bool same_but_for_case(std::string_view a, std::string_view b) {
  const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; };
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [&](char x, char y) { return lower(x) == lower(y); });
}

// Whether tables stand in a file beside its programs.
bool holds_values(const Reading& reading, std::uint32_t file) {
  return std::any_of(reading.origins.begin(), reading.origins.end(), [&](const Origin& origin) {
    return origin.span.file == file && origin.group != Group::programs;
  });
}

}  // namespace

ProgramEdits::ProgramEdits(const ComposeInput& input, const Reading& now, Edits& edits)
    : input_(input), now_(now), edits_(edits), donors_(input.donors.size()), by_file_(now.files.size()) {
  for (const ProgramFacts& facts : now.programs) by_file_[facts.span.file].push_back(&facts);
  for (auto& programs : by_file_) {
    std::sort(programs.begin(), programs.end(),
              [](const ProgramFacts* a, const ProgramFacts* b) { return a->span.at < b->span.at; });
  }
}

Refusal ProgramEdits::refusal(const Wish& wish, std::string why, std::string remedy) const {
  Refusal out{wish.address, std::move(why), std::move(remedy), {}};
  if (out.remedy.empty()) out.remedy = "put the whole file back instead, by its group";
  if (const Origin* origin = now_.origin(Group::programs, wish.address.key)) {
    out.place = {input_.newest.files[origin->span.file].name, origin->span.line, origin->span.at};
  }
  return out;
}

void ProgramEdits::note_unread(const Reading& reading, const Span& span) {
  for (const Origin& origin : reading.origins) {
    if (origin.group != Group::programs || !is_unread(origin.key) || origin.span.file != span.file) continue;
    if (origin.span.at >= span.at && origin.span.at < span.at + span.length) unread_.insert(origin.key);
  }
}

const Reading& ProgramEdits::donor_reading(std::size_t donor) {
  if (!donors_[donor]) {
    std::vector<OriginalView> views;
    const Donor& from = input_.donors[donor];
    for (const media::File& file : from.set.files) views.push_back({file.name, file.bytes});
    donors_[donor] = read_backup(from.layout, input_.context, views);
  }
  return *donors_[donor];
}

// The first donor that holds the program with the very text that it shall have. `told_apart`: one holds it
// with another text.
std::optional<ProgramEdits::Donation> ProgramEdits::find_donation(const Wish& wish, bool& told_apart) {
  for (std::size_t i = 0; i < donors_.size(); ++i) {
    const Reading& reading = donor_reading(i);
    const Program* program = reading.state.program(wish.address.key);
    if (program == nullptr) continue;
    if (program->text != *wish.after) {
      told_apart = true;
      continue;
    }
    const auto facts = std::lower_bound(
        reading.programs.begin(), reading.programs.end(), wish.address.key,
        [](const ProgramFacts& a, const std::string& name) { return natural_order(a.name, name) < 0; });
    const Span& span = facts->span;
    const std::string_view bytes =
        std::string_view(input_.donors[i].set.files[span.file].bytes).substr(span.at, span.length);
    const bool parity = reading.files[span.file].parity;
    return Donation{i, &*facts, parity ? without_parity(bytes) : std::string(bytes)};
  }
  return std::nullopt;
}

std::optional<Refusal> ProgramEdits::remove(const Wish& wish) {
  const Span span = now_.origin(Group::programs, wish.address.key)->span;
  note_unread(now_, span);
  if (by_file_[span.file].size() == 1 && !holds_values(now_, span.file)) {
    note_unread(now_, {span.file, 0, input_.newest.files[span.file].bytes.size(), 1});
    edits_.drop(span.file);
    return std::nullopt;
  }
  (void)edits_.replace(span.file, span.at, span.length, {});  // nothing to put in: any file can hold it
  return std::nullopt;
}

std::optional<Refusal> ProgramEdits::exchange(const Wish& wish) {
  bool told_apart = false;
  const std::optional<Donation> donation = find_donation(wish, told_apart);
  if (!donation) {
    return refusal(wish,
                   told_apart ? "the originals of the backup asked for hold another text than its state"
                              : "the originals of the backup asked for do not hold it",
                   "choose a backup whose originals hold it");
  }
  const Span span = now_.origin(Group::programs, wish.address.key)->span;
  const std::string_view text = edits_.text(span.file);
  std::string put = donation->text;
  const bool more = span.at + span.length < text.size();
  if (!ends_line(put) && (more || ends_line(text.substr(span.at, span.length)))) put += line_end_of(text);
  note_unread(now_, span);
  note_unread(donor_reading(donation->donor), donation->facts->span);
  if (!edits_.replace(span.file, span.at, span.length, put)) {
    return refusal(wish, "the file has 7-bit bytes with parity, and the program needs 8 bits");
  }
  return std::nullopt;
}

ProgramEdits::Host ProgramEdits::find_host(const Donation& donation) {
  const Reading& reading = donor_reading(donation.donor);
  const std::uint32_t from = donation.facts->span.file;
  const std::string& name = input_.donors[donation.donor].set.files[from].name;
  const auto shares = [&](const ProgramFacts& facts) { return facts.span.file == from; };
  const bool donor_many = std::count_if(reading.programs.begin(), reading.programs.end(), shares) > 1;
  std::optional<std::uint32_t> largest;
  for (std::uint32_t file = 0; file < by_file_.size(); ++file) {
    if (edits_.dropped(file)) continue;
    const std::size_t count = by_file_[file].size();
    if (same_but_for_case(input_.newest.files[file].name, name)) {
      if (count > 1 || (donor_many && count == 1)) return {file, {}};
      return {std::nullopt,
              fmt::format("the newest originals have a file {} of another content", escape(name))};
    }
    if (count > 1 && (!largest || count > by_file_[*largest].size())) largest = file;
  }
  if (!largest && holds_values(reading, from)) {
    return {std::nullopt, fmt::format("it shares the file {} with tables", escape(name))};
  }
  return {largest, {}};
}

std::optional<Refusal> ProgramEdits::add(const Wish& wish) {
  bool told_apart = false;
  const std::optional<Donation> donation = find_donation(wish, told_apart);
  if (!donation) {
    return refusal(wish, "the originals of the backup asked for do not hold it",
                   "choose a backup whose originals hold it");
  }
  const Host host = find_host(*donation);
  if (!host.why.empty()) return refusal(wish, host.why);
  note_unread(donor_reading(donation->donor), donation->facts->span);
  if (!host.file) {
    new_files_[{donation->donor, donation->facts->span.file}].insert(wish.address.key);
    return std::nullopt;
  }
  // Into the file's order when it has one, else behind its last program, in front of the closing mark.
  const auto& programs = by_file_[*host.file];
  const auto before = [](const ProgramFacts* a, const ProgramFacts* b) {
    return natural_order(a->name, b->name) < 0;
  };
  std::uint64_t at = programs.back()->span.at + programs.back()->span.length;
  if (std::is_sorted(programs.begin(), programs.end(), before)) {
    const auto next = std::find_if(programs.begin(), programs.end(), [&](const ProgramFacts* facts) {
      return natural_order(wish.address.key, facts->name) < 0;
    });
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
    return refusal(wish, "the file has 7-bit bytes with parity, and the program needs 8 bits");
  }
  return std::nullopt;
}

// The donor's file as it is, without those of its programs that were not asked for.
void ProgramEdits::finish() {
  for (const auto& [from, names] : new_files_) {
    const auto& [donor, file] = from;
    const Reading& reading = donor_reading(donor);
    media::File made = input_.donors[donor].set.files[file];
    std::vector<Span> cut;
    for (const ProgramFacts& facts : reading.programs) {
      if (facts.span.file == file && !names.contains(facts.name)) cut.push_back(facts.span);
    }
    std::sort(cut.begin(), cut.end(), [](const Span& a, const Span& b) { return a.at < b.at; });
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
