#include "survey/try_proposals.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "keepway/text.hpp"
#include "reader/row_shape.hpp"
#include "reader/serial_line.hpp"
#include "reader/text.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t of_a_piece = 3;  // each further source is harder to look through
constexpr std::size_t of_lost_row = 10;
constexpr std::size_t of_untitled = 2;       // another way of parting columns may fit a heading
constexpr std::size_t of_mixed_groups = 50;  // headings name several groups, and one source takes all

constexpr std::size_t of_other_titles = 2;

constexpr std::string_view part_key = "part     = ";  // which propose_parts() writes

Layout alone(const Candidate& candidate) {
  Tried tried;
  tried.candidate = candidate;
  return parse_layout(layout_toml(source_toml(tried, {"*"}, false), {}), "proposed");
}

// Lines that look like rows, and that a table passes over, as with a header that is too long.
std::size_t lost_rows(const Source& source, const Sample& sample, const Reading& reading) {
  std::set<std::uint64_t> read;
  for (const Origin& origin : reading.origins) read.insert(origin.span.line);
  const std::vector<bool> rows = rows_of(sample);
  std::size_t lost = 0;
  std::size_t first = 0;  // above the first line that names a part there are no rows
  const auto is_part = [&](std::size_t i) { return names_part(source, sample.lines[i].text); };
  while (!source.part.before.empty() && first < rows.size() && !is_part(first)) ++first;
  for (std::size_t i = first; i < rows.size(); ++i) {
    const bool is_lost = rows[i] && !read.contains(sample.lines[i].number);
    lost += is_lost && !is_part(i) ? 1U : 0U;
  }
  return lost;
}

bool has_keys_again(const Reading& reading) {
  return std::any_of(reading.oddities.begin(), reading.oddities.end(), [](const Oddity& oddity) {
    return oddity.kind == OddityKind::repeated_row || oddity.kind == OddityKind::clashing_rows;
  });
}

// nullopt for a proposal that is no layout, as with a heading that names no column. `again`: whether a key
// comes again.
std::optional<std::size_t> faults_with(const Candidate& candidate, const Sample& sample,
                                       std::string_view bytes, bool& again) {
  try {
    const Layout layout = alone(candidate);
    const Reading reading = read_backup(layout, {}, {{"sample", bytes}});
    if (reading.files[0].items == 0) return std::nullopt;
    again = has_keys_again(reading);
    const bool table = candidate.reader == ReaderKind::columns;
    if (!table) return faults_of(layout, reading, bytes);
    const auto untitled = [](const Guess& guess) { return guess.key == "columns" || guess.key == "shape"; };
    return faults_of(layout, reading, bytes) +
           of_lost_row * lost_rows(layout.sources.front(), sample, reading) +
           of_untitled * static_cast<std::size_t>(
                             std::count_if(candidate.guesses.begin(), candidate.guesses.end(), untitled));
  } catch (const Error&) {
    return std::nullopt;
  }
}

// What is true of a file in all its pieces.
struct WholeFile {
  const PlainNumbers& plain;
  std::string encoding;
};

// More than half of the lines are words alone, as blocks are.
bool has_blocks(const Sample& sample) {
  std::vector<SurveyWord> words;
  const auto blocks = std::count_if(sample.code.begin(), sample.code.end(),
                                    [&](const std::string& code) { return words_of_line(code, words); });
  return static_cast<std::size_t>(blocks) * 2 > sample.code_lines();
}

// Of those that are as good, the first. `programs`: a heading says that these are programs, so that lines
// that read as blocks are no table.
std::optional<Tried> best(const std::string& name, std::string_view text, std::string_view bytes,
                          const WholeFile& file, bool programs = false) {
  std::optional<Tried> found;
  using Propose = Candidates (*)(const Sample&);
  Sample raw = look_at(name, text);
  raw.encoding = file.encoding;
  Sample cleared = raw;
  mark_no_data(cleared);
  if (auto program = conversational(raw)) {
    if (!file.encoding.empty())
      program->keys = key_line("encoding", toml_quoted(file.encoding)) + program->keys;
    return Tried{{}, std::move(*program), raw.code_lines(), 0, false, {}};
  }
  const bool blocks = programs && has_blocks(raw);
  const bool parted = !rows_under_titles(raw).empty();  // which a shape would part at other signs
  for (const Propose propose : {propose_assign, propose_sections, propose_blocks, propose_words,
                                propose_columns, propose_shape, propose_parts}) {
    for (const Sample* sample : {static_cast<const Sample*>(&raw), static_cast<const Sample*>(&cleared)}) {
      if (propose == propose_shape && parted) continue;
      for (Candidate& candidate : propose(*sample)) {
        candidate.keys = numbers_lines(file.plain.form, candidate.reader) + candidate.keys;
        if (!file.encoding.empty())
          candidate.keys = key_line("encoding", toml_quoted(file.encoding)) + candidate.keys;
        bool again = false;
        auto faults = faults_with(candidate, raw, bytes, again);
        if (faults && blocks && candidate.reader != ReaderKind::blocks) *faults += of_mixed_groups;
        if (!faults || (found && *faults >= found->faults)) continue;
        found = Tried{{}, candidate, sample->code_lines(), *faults, again, units_in(raw)};
      }
    }
    if (found && found->faults == 0) break;
  }
  if (found) found->lines -= std::min(found->lines, found->candidate.header_lines);
  return found;
}

// What is said of the whole file: the character set, and the line with the serial.
void add_of_file(Tried& tried, const std::string& name, std::string_view text, const std::string& serial,
                 const std::string& encoding) {
  Sample sample = look_at(name, text);
  sample.encoding = encoding;
  mark_no_data(sample);
  std::string keys;
  if (const std::string line = serial_line(sample, serial); !line.empty())
    keys += key_line("serial", toml_quoted(line), "the line that carries the machine's serial");
  if (!encoding.empty()) {
    tried.candidate.guesses.push_back(
        {"the character set, " + encoding + ": by the letters that it gives", "encoding"});
  }
  tried.candidate.keys = keys + tried.candidate.keys;
}

std::string key_of(const Tried& tried) {
  return std::string(reader_name(tried.candidate.reader)) + "\n" + tried.candidate.keys;
}

std::size_t groups_named(const std::vector<Tried>& pieces) {
  std::set<std::pair<Group, std::string>> groups;
  for (const Tried& piece : pieces) {
    if (const auto group = group_in_name(piece.piece.title)) groups.insert({*group, piece.piece.title});
  }
  return groups.size();
}

// Titles that a source reads itself name what rows are of: only another group parts them.
std::size_t different_groups(const std::vector<Tried>& pieces) {
  std::set<Group> groups;
  for (const Tried& piece : pieces) {
    if (const auto group = group_in_name(piece.piece.title)) groups.insert(*group);
  }
  return groups.size();
}

// Headings of two groups at least that are no programs': a file whose rows all read as blocks has tables,
// too.
bool has_tables(const std::vector<Tried>& pieces) {
  std::set<Group> groups;
  for (const Tried& piece : pieces) {
    const auto group = group_in_name(piece.piece.title);
    if (group && *group != Group::programs && piece.candidate.reader != ReaderKind::blocks)
      groups.insert(*group);
  }
  return groups.size() > 1;
}

// The first line that names a table, "$PARAMETERS", where lines name two groups that are no programs'.
std::string title_of_table(const Sample& sample) {
  constexpr std::size_t longest = 40;
  std::set<Group> groups;
  std::string first;
  std::vector<SurveyWord> words;
  for (const reader::Line& each : sample.lines) {
    const std::string_view line = reader::trim(each.text);
    const bool remark = line.starts_with('(') || line.starts_with(';');
    if (line.size() < 4 || line.size() > longest || remark || words_of_line(line, words) ||
        line.find('=') != std::string_view::npos)
      continue;
    const auto group = group_in_name(line);
    if (!group || *group == Group::programs || says_end(line)) continue;
    if (groups.empty()) first = line;
    groups.insert(*group);
  }
  return groups.size() > 1 ? first : std::string();
}

// "TOOL STORE" over rows that have become parameters, where sources are not known by headings: a heading
// names a group that none of them has.
bool names_another_group(const std::vector<Tried>& pieces, const std::vector<Tried>& sources) {
  if (sources.size() < 2) return false;
  return std::any_of(pieces.begin(), pieces.end(), [&](const Tried& piece) {
    const Group group = piece.candidate.group;
    return group_in_name(piece.piece.title) == group &&
           std::none_of(sources.begin(), sources.end(),
                        [&](const Tried& source) { return source.candidate.group == group; });
  });
}

// `begins` must distinguish the pieces; one that begins with a number is taken last, with none.
bool can_be_distinguished(const std::vector<Tried>& pieces) {
  std::set<std::string> begins;
  for (const Tried& piece : pieces) {
    if (piece.piece.under.empty() && !begins.insert(piece.piece.begins).second) return false;
  }
  return true;
}

// Pieces that are read the same way are one, as programs are that have a mark each.
std::vector<Tried> joined(std::vector<Tried> pieces) {
  std::vector<Tried> out;
  for (Tried& piece : pieces) {
    const auto same = std::find_if(out.begin(), out.end(), [&](const Tried& each) {
      const bool apart = !each.piece.under.empty() && each.piece.under != piece.piece.under;
      return key_of(each) == key_of(piece) && !apart && each.piece.begins == piece.piece.begins;
    });
    if (same == out.end()) {
      out.push_back(std::move(piece));
    } else {
      same->lines += piece.lines;
      same->faults += piece.faults;
    }
  }
  return out;
}

// A piece's source as the file's: what is above the first heading is skipped by the first source.
// False where settings are above, which would be lost.
bool skip_above(std::vector<Tried>& pieces, const WholeFile& file) {
  const bool taken = std::any_of(pieces.begin(), pieces.end(), [](const Tried& each) {
    return each.piece.under.empty();  // what is above is a piece of its own
  });
  if (taken) return true;
  Sample above = look_at("above", std::string_view(file.plain.text).substr(0, pieces.front().piece.base));
  std::vector<std::string> patterns;
  for (std::size_t i = 0; i < above.lines.size(); ++i) {
    const std::string_view line = reader::trim(above.lines[i].text);
    const std::string here = readable(pattern_of_line(line), file.encoding);
    const bool own = lower(here) == lower(pieces.front().piece.under);
    if (line.empty() || reader::is_mark(line) || own || is_rule(line)) continue;
    if (row_kind(above.code[i]) == '=' && reader::serial_in_line(above.code[i]).empty()) return false;
    const auto opener = std::find_if(above.openers.begin(), above.openers.end(),
                                     [&](const std::string& each) { return line.starts_with(each); });
    const bool remark = above.code[i].empty() && opener != above.openers.end();
    const std::string pattern = remark ? *opener + "*" : here;
    if (!pattern.empty() && std::find(patterns.begin(), patterns.end(), pattern) == patterns.end())
      patterns.push_back(pattern);
  }
  add_skip(pieces.front().candidate.keys, patterns);
  return true;
}

std::optional<std::vector<Tried>> cut(const std::vector<Piece>& pieces, const OriginalView& original,
                                      const WholeFile& file) {
  std::vector<Tried> found;
  for (const Piece& piece : pieces) {
    const std::optional<Group> said = group_in_name(piece.title);
    const std::string name = said ? piece.title : std::string(original.name);
    auto tried = best(name, piece.text, original.bytes.substr(piece.base, piece.text.size()), file,
                      said == Group::programs);
    if (!tried) return std::nullopt;
    tried->piece = piece;
    give_address(*tried, piece.text);
    // Remarks above its first row are passed over where the piece is known by that row.
    const bool remarks = piece.text.find('(') != std::string_view::npos && !piece.begins.empty();
    if (remarks && tried->candidate.reader == ReaderKind::blocks)
      tried->candidate.keys = comment_line({"("}) + tried->candidate.keys;
    found.push_back(std::move(*tried));
  }
  const bool one_reader = std::all_of(found.begin(), found.end(), [&](const Tried& each) {
    return each.candidate.reader == found.front().candidate.reader;
  });
  if (one_reader && found.front().candidate.reader == ReaderKind::blocks) return std::nullopt;
  found = joined(std::move(found));
  if (found.size() < 2 || !can_be_distinguished(found)) return std::nullopt;
  if (!skip_above(found, file)) return std::nullopt;
  return found;
}

// Pieces are kept apart by their names: a key may come again in another one.
std::size_t faults_in(const OriginalView& original, const std::vector<Tried>& pieces) {
  std::string sources;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    Tried apart = pieces[i];
    if (apart.candidate.reader != ReaderKind::blocks)
      apart.candidate.keys = with_prefix(apart.candidate, fmt::format("p{}", i));
    sources += source_toml(apart, {"*"}, true);
  }
  try {
    const Layout layout = parse_layout(layout_toml(sources, {}), "proposed");
    return faults_of(layout, read_backup(layout, {}, {{"sample", original.bytes}}), original.bytes);
  } catch (const Error&) {
    return SIZE_MAX / 2;
  }
}

}  // namespace

std::vector<Tried> best_of(const OriginalView& original, std::string_view text, const OfBackup& backup) {
  const PlainNumbers plain = plain_numbers(text, backup.commas);
  const WholeFile file{plain, encoding_of(text).empty() ? "" : backup.encoding};
  const std::string name(original.name);
  std::vector<Tried> chosen;
  std::size_t least = SIZE_MAX;
  if (auto whole = best(name, plain.text, original.bytes, file)) {
    least = whole->faults;
    chosen = {std::move(*whole)};
  }
  // Rows of tables can be read as blocks, too: only a mark tells that they are none.
  const bool program = !chosen.empty() && chosen.front().candidate.reader == ReaderKind::blocks && least == 0;
  const bool again =
      chosen.empty() || chosen.front().again || (!program && keys_come_again(look_at(name, plain.text)));
  for (const std::vector<Piece>& pieces : cuts_of(plain.text, file.encoding, again)) {
    auto tried = cut(pieces, original, file);
    if (!tried) continue;
    if (program && !pieces.front().under.empty() && !has_tables(*tried)) continue;
    const auto order =
        [](const Tried& each) {  // headings part a file first; what asks nothing takes the rest
          return !each.piece.under.empty() ? 0 : !each.piece.begins.empty() ? 1 : 2;
        };
    std::stable_sort(tried->begin(), tried->end(),
                     [&](const Tried& a, const Tried& b) { return order(a) < order(b); });
    const bool reads_titles =
        chosen.size() == 1 && chosen.front().candidate.keys.find(part_key) != std::string::npos;
    const std::size_t named = reads_titles ? different_groups(*tried) : groups_named(*tried);
    const bool differ = std::any_of(tried->begin(), tried->end(), [&](const Tried& each) {
      return key_of(each) != key_of(tried->front());
    });
    if ((!differ || reads_titles) && named < 2 && !again) continue;
    const std::size_t faults = faults_in(original, *tried) + of_a_piece * (tried->size() - 1);
    const bool mixed = (chosen.size() == 1 && (named > 1 || program)) || names_another_group(*tried, chosen);
    const std::size_t whole = mixed ? least + of_mixed_groups * std::max<std::size_t>(named, 1) : least;
    // Titles that part what comes again are what the parts are called by, and to skip what is above them all
    // is no fault.
    const bool has_titles = again && !chosen.empty() && !chosen.front().piece.under.empty();
    if (faults + (has_titles ? of_other_titles : 0) >= whole) continue;
    least = faults;
    chosen = std::move(*tried);
  }
  if (chosen.size() == 1 && chosen.front().candidate.reader == ReaderKind::blocks) {
    if (const std::string title = title_of_table(look_at(name, plain.text)); !title.empty())
      chosen.front().candidate.guesses.push_back({"that all of the file is programs, though '" +
                                                      escape(title) +
                                                      "' and others seem to name tables in it",
                                                  "reader"});
  }
  for (Tried& tried : chosen) add_of_file(tried, name, text, backup.serial, file.encoding);
  return chosen;
}

bool names_part(const Source& source, std::string_view line) {
  if (source.part.before.empty()) return false;
  std::vector<std::string_view> cells;
  reader::Comments comments(source.comments, false);
  return reader::ShapeSplitter(source, source.part, reader::part_cells(source))
      .split(reader::part_text(source, line, comments), cells);
}

void add_skip(std::string& keys, const std::vector<std::string>& patterns) {
  if (patterns.empty()) return;
  if (const std::size_t at = keys.find("skip     = ["); at != std::string::npos) {
    const std::string list = toml_list(patterns);
    keys.insert(at + std::string_view("skip     = [").size(), list.substr(1, list.size() - 2) + ", ");
  } else {
    keys = key_line("skip", toml_list(patterns), "lines that are no data") + keys;
  }
}

void set_encoding(Candidate& candidate, const std::string& encoding) {
  if (candidate.keys.find("encoding = ") != std::string::npos) return;
  candidate.keys = key_line("encoding", toml_quoted(encoding)) + candidate.keys;
  candidate.guesses.push_back(
      {"the character set, " + encoding + ": by the letters that it gives", "encoding"});
}

std::string source_toml(const Tried& tried, const std::vector<std::string>& patterns, bool with_piece) {
  const Candidate& candidate = tried.candidate;
  std::string text = "[[source]]\n" + key_line("group", toml_quoted(group_name(candidate.group))) +
                     key_line("files", toml_list(patterns)) +
                     key_line("reader", toml_quoted(reader_name(candidate.reader))) +
                     key_line("required", "true", "a full backup has such a file");
  if (with_piece && !tried.piece.under.empty())
    text +=
        key_line("under", toml_quoted(tried.piece.under), "the heading that this part of the file is under");
  else if (with_piece && !tried.piece.begins.empty())
    text += key_line("begins", toml_quoted(tried.piece.begins), "how the first row of this part begins");
  return text + candidate.keys;
}

std::string layout_toml(const std::string& sources, const std::optional<Units>& units) {
  return "layout   = 1\ntitle    = \"Proposed from samples\"\n" +
         (units ? key_line("units", toml_quoted(units_name(*units)), "as the samples say")
                : "# units  = \"inch\"                         # the samples do not say: give them when you "
                  "enroll\n") +
         sources;
}

}  // namespace keepway::layout
