// Proposing a layout: how each file is best read, put together to one, and tried as a whole.
#include "keepway/survey.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <deque>

#include "reader/binary.hpp"
#include "reader/clean.hpp"
#include "reader/drawn.hpp"
#include "survey/source_lines.hpp"
#include "survey/try_proposals.hpp"

namespace keepway {
namespace {

using layout::Tried;

constexpr std::size_t most_misfits = 20;

void note_misfits(const Reading& reading, std::uint32_t file, SurveyedFile& surveyed,
                  const OriginalView& original) {
  const auto note = [&](const Span& span) {
    if (surveyed.misfits.size() >= most_misfits) return;
    const std::string_view text = original.bytes.substr(span.at, std::min<std::uint64_t>(span.length, 80));
    surveyed.misfits.push_back({Place{std::string(original.name), span.line, span.at}, escape(text)});
  };
  for (const Origin& origin : reading.origins) {
    if (origin.span.file != file || origin.source != surveyed.source) continue;
    if (!is_unread(origin.key)) {
      surveyed.items += origin.group == Group::programs ? 0U : 1U;
      continue;
    }
    ++surveyed.unread;
    note(origin.span);
  }
  for (const ProgramFacts& program : reading.programs) {
    if (program.span.file != file || program.source != surveyed.source) continue;
    ++surveyed.items;
    surveyed.unread += program.unread;
    for (const Span& span : program.unread_spans) note(span);
  }
}

// One [[source]], and the files that it is of.
struct Proposed {
  Tried tried;
  std::vector<std::string> patterns;
  std::vector<std::string> comments;
  std::vector<std::size_t> files;  // indices in Survey::files
};

// A stream's pieces are distinguished by their text, so that they must not take other files.
bool same_source(const Proposed& source, const Tried& tried, bool is_piece, const std::string& pattern) {
  const bool keys = source.tried.candidate.reader == tried.candidate.reader &&
                    source.tried.candidate.group == tried.candidate.group &&
                    source.tried.candidate.keys == tried.candidate.keys &&
                    source.tried.piece.under == tried.piece.under &&
                    source.tried.piece.begins == tried.piece.begins;
  return keys && (!is_piece || source.patterns.front() == pattern);
}

int confidence(const SurveyedFile& file) {
  const std::size_t lines = std::max<std::size_t>(file.lines, 1);
  const std::size_t fit = lines - std::min(lines, file.unread);
  const int per_cent = static_cast<int>(fit * 100 / lines);
  constexpr int a_guess = 10;
  constexpr int few_lines = 15;
  const int less = a_guess * static_cast<int>(file.guesses.size()) + (lines < 3 ? few_lines : 0);
  return std::max(0, per_cent - less);
}

std::string comments_of(const Proposed& source) {
  constexpr std::size_t most = 3;
  std::string text;
  for (std::size_t i = 0; i < std::min(most, source.comments.size()); ++i) text += source.comments[i];
  if (source.comments.size() > most)
    text += fmt::format("# And from {} more.\n", source.comments.size() - most);
  for (const Guess& guess : source.tried.candidate.guesses)
    text += "# Guessed: " + escape(guess.what) + ".\n";
  return text;
}

std::size_t lines_in(std::string_view text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

// Where no reader fits any file: a source to be corrected, with which each line is kept, and not understood.
Tried kept_unread(const OriginalView& original) {
  Tried kept;
  kept.lines = lines_in(original.bytes);
  kept.candidate.reader = ReaderKind::assign;
  const auto group = layout::group_in_name(original.name);
  kept.candidate.group = group && *group != Group::programs ? *group : Group::parameters;
  kept.candidate.keys =
      layout::key_line("shape", layout::toml_quoted("#{key}={value}"), "how a row is written: correct it");
  kept.candidate.guesses.push_back(
      {"the reader: none fits this file, so no line is understood yet", "reader"});
  if (!group)
    kept.candidate.guesses.push_back({"the group, parameters: the file's name does not say it", "group"});
  kept.candidate.guesses.push_back(
      {"the shape: write a row as the control does, with {key} and {value}", "shape"});
  return kept;
}

// By which the samples' lines and names are known: that a person gave another changes nothing of them.
const std::string& carried_serial(const Survey& found) {
  return found.other_serial.empty() ? found.serial : found.other_serial;
}

// What is no memory of the machine is kept, and gives no item. nullopt for anything else.
std::optional<Tried> kept_without_data(const OriginalView& original, std::string_view text) {
  const layout::Sample sample = layout::look_at(original.name, text);
  const bool log = layout::is_log(sample);
  if (!log && !layout::is_note(sample)) return std::nullopt;
  Tried kept = kept_unread(original);
  kept.candidate.keys = layout::key_line("data", "false", log ? "a log" : "a note");
  kept.candidate.guesses = {
      {log ? "that it is a log, whose lines begin with times: it is kept, and nothing in "
             "it is compared"
           : "that it is a note for people: it is kept, and nothing in it is compared",
       "data"}};
  return kept;
}

// Samples that are read, each with its pieces.
struct Taken {
  std::vector<OriginalView> files;
  std::vector<std::vector<Tried>> pieces;  // of each file
};

// How each sample is best read. Where no reader fits any, those that are text are kept as they are. `texts`:
// of the samples, cleaned.
Taken best_of_each(const std::vector<OriginalView>& samples, const std::vector<OriginalView>& texts,
                   Survey& found) {
  Taken taken;
  const bool drawn = std::any_of(samples.begin(), samples.end(), [](const OriginalView& sample) {
    // Boxes of Unicode say nothing of the other files' code page.
    return reader::is_drawn(sample.bytes) && !layout::encoding_of(sample.bytes).empty();
  });
  const std::string encoding = layout::common_encoding(texts, drawn);
  const layout::OfBackup backup{carried_serial(found), encoding, layout::has_commas(texts)};
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const OriginalView& original = samples[i];
    std::vector<Tried> pieces;
    if (reader::is_binary(texts[i].bytes))
      found.no_text.emplace_back(original.name);
    else if (auto kept = kept_without_data(original, texts[i].bytes))
      pieces = {std::move(*kept)};
    else
      pieces = layout::best_of(original, texts[i].bytes, backup);
    if (pieces.empty()) {
      found.left_out.emplace_back(original.name);
      continue;
    }
    // A program without a letter of the set is read as those with one are.
    const bool program = pieces.size() == 1 && pieces.front().candidate.reader == ReaderKind::blocks;
    if (program && !encoding.empty()) layout::set_encoding(pieces.front().candidate, encoding);
    taken.files.push_back(original);
    taken.pieces.push_back(std::move(pieces));
  }
  if (!taken.files.empty()) return taken;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (!reader::is_text(texts[i].bytes)) continue;
    taken.files.push_back(samples[i]);
    taken.pieces.push_back({kept_unread(samples[i])});
    std::erase(found.left_out, std::string(samples[i].name));
  }
  return taken;
}

// A list of the programs is kept, and gives no item.
void leave_out_directories(Taken& taken) {
  for (const layout::Directory& each : layout::directories_of(taken.files, taken.pieces)) {
    layout::Candidate& list = taken.pieces[each.file][each.piece].candidate;
    list.keys = layout::key_line("data", "false", "it lists the programs") + list.keys;
    list.guesses = {{"that it lists the programs, and holds no data", "data"}};
  }
}

// In a program a unit may be a tool's name.
std::optional<Units> units_beside_programs(const std::vector<OriginalView>& samples,
                                           const std::vector<OriginalView>& texts, const Taken& taken) {
  const auto is_programs = [&](std::string_view name) {
    for (std::size_t i = 0; i < taken.files.size(); ++i) {
      if (taken.files[i].name == name)
        return std::all_of(taken.pieces[i].begin(), taken.pieces[i].end(),
                           [](const Tried& tried) { return tried.candidate.reader == ReaderKind::blocks; });
    }
    return false;
  };
  std::vector<OriginalView> others;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (!reader::is_binary(texts[i].bytes) && !is_programs(samples[i].name)) others.push_back(texts[i]);
  }
  return layout::told_units(others, layout::common_encoding(texts, false));
}

// Whether a source has the programs of whole files.
bool has_programs(const Proposed& source) {
  return source.tried.candidate.reader == ReaderKind::blocks && source.tried.piece.under.empty() &&
         source.tried.piece.begins.empty();
}

// One piece of a file, into the source that reads it so, or into one of its own.
void add_piece(const Tried& tried, std::string_view name, bool is_piece, Survey& found,
               std::vector<Proposed>& sources) {
  SurveyedFile& file = found.files.emplace_back();
  file.name = name;
  file.title = is_piece ? tried.piece.title : "";
  file.lines = tried.lines;
  if (!found.units) found.units = tried.units;
  file.group = tried.candidate.group;
  file.reader = tried.candidate.reader;
  file.guesses = tried.candidate.guesses;
  file.pattern =
      layout::pattern_of_name(name, carried_serial(found), is_piece ? ReaderKind::columns : file.reader);
  auto source = std::find_if(sources.begin(), sources.end(), [&](const Proposed& each) {
    return same_source(each, tried, is_piece, file.pattern);
  });
  if (source == sources.end() && !is_piece && tried.candidate.reader == ReaderKind::blocks) {
    source = std::find_if(sources.begin(), sources.end(), [&](Proposed& each) {
      return has_programs(each) && each.patterns.front() == file.pattern &&
             layout::join_programs(each.tried.candidate, tried.candidate);
    });
  }
  if (source == sources.end()) source = sources.insert(source, Proposed{tried, {}, {}, {}});
  auto& patterns = source->patterns;
  if (std::find(patterns.begin(), patterns.end(), file.pattern) == patterns.end())
    patterns.push_back(file.pattern);
  source->files.push_back(found.files.size() - 1);
  source->comments.push_back(
      fmt::format("# From {}{}{}.\n", escape(name), file.title.empty() ? "" : ", ", escape(file.title)));
}

// A file goes to the first source whose pattern takes it: programs, which take most, are last.
void put_programs_last(std::vector<Proposed>& sources) {
  std::stable_partition(sources.begin(), sources.end(),
                        [](const Proposed& each) { return !has_programs(each); });
}

// What numbers without a point count in differs with the units: where nothing says these, no scale is
// guessed.
void leave_unscaled(std::vector<Proposed>& sources, Survey& found) {
  constexpr std::string_view key = "least_increment";
  for (Proposed& source : sources) {
    std::string& keys = source.tried.candidate.keys;
    const std::size_t at = keys.find(std::string(key) + " = ");
    if (at == std::string::npos || (at > 0 && keys[at - 1] != '\n')) continue;
    keys.erase(at, keys.find('\n', at) + 1 - at);
    const auto correct = [&](std::vector<Guess>& guesses) {
      for (Guess& guess : guesses) {
        if (guess.key == key)
          guess = {
              "that numbers without a point are meant as written: if they count in increments, say "
              "least_increment",
              ""};
      }
    };
    correct(source.tried.candidate.guesses);
    for (const std::size_t file : source.files) correct(found.files[file].guesses);
  }
}

bool is_listed(const std::vector<std::string>& names, const std::string& name) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

void write_layout(const std::vector<Proposed>& sources, Survey& found) {
  std::string text;
  for (const std::string& name : found.left_out)
    text += is_listed(found.no_text, name)
                ? fmt::format("\n# {} is left out: it is no text of a control.\n", escape(name))
                : fmt::format("\n# No reader fits {}: write its source by hand.\n", escape(name));
  for (std::size_t i = 0; i < sources.size(); ++i) {
    text += "\n" + comments_of(sources[i]);
    text += layout::source_toml(sources[i].tried, sources[i].patterns, true);
    for (const std::size_t file : sources[i].files) found.files[file].source = i;
  }
  found.layout = layout::layout_toml(text, found.units);
}

// What the layout that is proposed makes of all files.
Reading read_whole(const std::vector<OriginalView>& taken, const Survey& found) {
  const Layout whole = parse_layout(found.layout, "proposed layout");
  return read_backup(whole, {carried_serial(found), found.units.value_or(Units::inch)}, taken);
}

// False where there are none that are not skipped already.
bool skip_idle_lines(const Reading& reading, const std::vector<OriginalView>& files,
                     std::vector<Proposed>& sources) {
  bool any = false;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    layout::Candidate& candidate = sources[i].tried.candidate;
    const auto patterns = layout::idle_lines(reading, i, candidate.reader, files);
    layout::add_skip(candidate.keys, patterns);
    any = any || !patterns.empty();
  }
  return any;
}

// Where programs end otherwise than most controls' do, or more than once. False where they do not.
bool add_ends(const Reading& reading, const std::vector<OriginalView>& files, std::vector<Proposed>& sources,
              Survey& found) {
  bool any = false;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    layout::Candidate& candidate = sources[i].tried.candidate;
    if (candidate.reader != ReaderKind::blocks) continue;
    const auto guess = [&](const Guess& what) {
      any = true;
      candidate.guesses.push_back(what);
      for (const std::size_t file : sources[i].files) found.files[file].guesses.push_back(what);
    };
    if (const auto several = layout::several_ends_of(reading, i)) guess(*several);
    const bool marked = candidate.keys.find("percent ") != std::string::npos;
    for (const auto& ends :
         {layout::ends_of(reading, i), marked ? std::nullopt : layout::marks_of(reading, i, files)}) {
      if (!ends) continue;
      candidate.keys = ends->line + candidate.keys;
      guess(ends->guess);
    }
  }
  return any;
}

// Notes what the whole layout made of each file, by the files' own names: what is handed out is what was read
// with. `file_of`: of `found.files`, in `taken`.
void note_whole(const Reading& reading, const std::vector<OriginalView>& taken,
                const std::vector<std::uint32_t>& file_of, Survey& found) {
  const std::vector<layout::SourceSpan> spans = layout::sources_of(found.layout);
  for (std::size_t i = 0; i < found.files.size(); ++i) {
    SurveyedFile& file = found.files[i];
    const std::uint32_t at = file_of[i];
    file.parity = reading.files[at].parity;
    note_misfits(reading, at, file, taken[at]);
    for (Guess& guess : file.guesses)
      guess.line = layout::line_of_key(found.layout, spans[file.source], guess.key);
    file.confidence = confidence(file);
  }
}

}  // namespace

Survey survey(const std::vector<OriginalView>& samples, const std::string& serial) {
  if (samples.empty()) throw Error(ErrorKind::usage, "there are no samples", "name files off the control");
  std::deque<reader::Cleaned> cleaned;
  std::vector<OriginalView> texts;
  for (const OriginalView& sample : samples) {
    reader::clean(sample.bytes, sample.name, cleaned.emplace_back());
    texts.push_back({sample.name, cleaned.back().text});
  }
  Survey found;
  found.serial = serial;
  layout::Serial carried = serial.empty() ? layout::serial_of(texts) : layout::serial_against(texts, serial);
  if (serial.empty()) {
    found.serial = std::move(carried.text);
    found.serial_from = std::move(carried.found_in);
  } else if (!carried.text.empty()) {
    found.other_serial = std::move(carried.text);
    found.other_serial_in = std::move(carried.found_in);
  }
  Taken taken = best_of_each(samples, texts, found);
  if (taken.files.empty()) {
    const std::string name = escape(samples.front().name);
    throw Error(
        ErrorKind::input,
        reader::is_binary(texts.front().bytes)
            ? fmt::format(
                  "{} is a binary file, such as a picture or a PC's program, and not text from a control",
                  name)
            : fmt::format("{} holds no text that a reader could take", name),
        "name the files that the control sent, as it sent them", Place{std::string(samples.front().name)});
  }
  leave_out_directories(taken);
  layout::keep_apart(taken.files, taken.pieces);
  std::vector<Proposed> sources;
  std::vector<std::uint32_t> file_of;
  for (std::size_t i = 0; i < taken.files.size(); ++i) {
    const std::vector<Tried>& pieces = taken.pieces[i];
    for (const Tried& tried : pieces) {
      file_of.push_back(static_cast<std::uint32_t>(i));
      add_piece(tried, taken.files[i].name, pieces.size() > 1, found, sources);
    }
  }
  if (!found.units) found.units = units_beside_programs(samples, texts, taken);
  if (!found.units) leave_unscaled(sources, found);
  put_programs_last(sources);
  write_layout(sources, found);
  Reading reading = read_whole(taken.files, found);
  // Twice: of two lines that are the same, in files of two sources, one is known as unread.
  for (int round = 0; round < 2 && skip_idle_lines(reading, taken.files, sources); ++round) {
    write_layout(sources, found);
    reading = read_whole(taken.files, found);
  }
  if (add_ends(reading, taken.files, sources, found)) {
    write_layout(sources, found);
    reading = read_whole(taken.files, found);
  }
  note_whole(reading, taken.files, file_of, found);
  return found;
}

}  // namespace keepway
