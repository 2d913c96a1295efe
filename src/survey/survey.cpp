// Proposing a layout: each sample is tried with what each family proposes, and what reads best stands.
#include "keepway/survey.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/digit.hpp"
#include "reader/clean.hpp"
#include "survey/survey_parts.hpp"

namespace keepway {
namespace {

using layout::Candidate;
using layout::Sample;

constexpr std::size_t most_misfits = 20;

std::string source_toml(const Candidate& candidate, const std::vector<std::string>& patterns) {
  std::vector<std::string> texts;
  texts.reserve(patterns.size());
  for (const std::string& pattern : patterns) texts.push_back(layout::toml_quoted(pattern));
  return "[[source]]\n" + layout::key_line("group", layout::toml_quoted(group_name(candidate.group))) +
         layout::key_line("files", fmt::format("[{}]", fmt::join(texts, ", "))) +
         layout::key_line("reader", layout::toml_quoted(reader_name(candidate.reader))) +
         layout::key_line("required", "true", "a full backup has such a file") + candidate.keys;
}

std::string layout_toml(const std::string& sources, const std::optional<Units>& units) {
  return "layout   = 1\ntitle    = \"Proposed from samples\"\n" +
         (units ? layout::key_line("units", layout::toml_quoted(units_name(*units)),
                                   "as the samples' programs say")
                : "# units  = \"inch\"                         # the samples do not say: give them when you "
                  "enroll\n") +
         sources;
}

struct Tried {
  Candidate candidate;
  std::size_t items = 0;
  std::size_t unread = 0;
  std::vector<SurveyedFile::Misfit> misfits;
};

void note_misfits(const Reading& reading, std::size_t file, std::size_t& unread,
                  std::vector<SurveyedFile::Misfit>& misfits, const OriginalView& original) {
  const auto note = [&](const Span& span) {
    if (misfits.size() >= most_misfits) return;
    const std::string_view text = original.bytes.substr(span.at, std::min<std::uint64_t>(span.length, 80));
    misfits.push_back({Place{std::string(original.name), span.line, span.at}, escape(text)});
  };
  for (const Origin& origin : reading.origins) {
    if (origin.span.file != file || !is_unread(origin.key)) continue;
    ++unread;
    note(origin.span);
  }
  for (const ProgramFacts& program : reading.programs) {
    if (program.span.file != file) continue;
    unread += program.unread;
    for (const Span& span : program.unread_spans) note(span);
  }
}

// nullopt for a proposal that is no layout, as with a heading that names no column.
std::optional<Tried> try_one(const Candidate& candidate, const OriginalView& original) {
  Tried tried{candidate, 0, 0, {}};
  Layout layout;
  try {
    layout = parse_layout(layout_toml(source_toml(candidate, {"*"}), {}), "proposed");
  } catch (const Error&) {
    return std::nullopt;
  }
  const OriginalView plain{"sample", original.bytes};
  const Reading reading = read_backup(layout, {}, {plain});
  note_misfits(reading, 0, tried.unread, tried.misfits, original);
  tried.items = reading.files[0].items;
  return tried;
}

// The first that reads everything; else the one that leaves the fewest lines.
std::optional<Tried> best(const Sample& sample, const OriginalView& original) {
  std::optional<Tried> found;
  using Propose = layout::Candidates (*)(const Sample&);
  for (const Propose propose : {layout::propose_assign, layout::propose_sections, layout::propose_blocks,
                                layout::propose_words, layout::propose_columns}) {
    for (const Candidate& candidate : propose(sample)) {
      auto tried = try_one(candidate, original);
      if (!tried || tried->items == 0) continue;
      if (!found || tried->unread < found->unread) found = std::move(tried);
      if (found->unread == 0) return found;
    }
  }
  return found;
}

// The longest run of three or more digits that the names of all files have, when there are several.
std::string serial_in(const std::vector<OriginalView>& samples) {
  std::set<std::string> common;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    std::set<std::string> here;
    const std::string_view name = samples[i].name;
    for (std::size_t at = 0; at < name.size(); ++at) {
      if (!is_digit(name[at])) continue;
      const std::size_t begin = at;
      while (at < name.size() && is_digit(name[at])) ++at;
      if (at - begin >= 3) here.emplace(name.substr(begin, at - begin));
    }
    std::set<std::string> both;
    std::set_intersection(common.begin(), common.end(), here.begin(), here.end(),
                          std::inserter(both, both.end()));
    common = i == 0 ? here : both;
  }
  std::string found;
  for (const std::string& run : common) {
    if (run.size() > found.size()) found = run;
  }
  return samples.size() > 1 ? found : "";
}

// The name with its serial and other long runs of digits (a date, a program's number) left open.
std::string pattern_of(std::string_view name, const std::string& serial, ReaderKind reader) {
  std::string out;
  for (std::size_t at = 0; at < name.size();) {
    if (!serial.empty() && name.substr(at).starts_with(serial)) {
      out += "{serial}";
      at += serial.size();
      continue;
    }
    std::size_t end = at;
    while (end < name.size() && is_digit(name[end])) ++end;
    if (end - at >= 4) {
      out += '*';
      at = end;
      continue;
    }
    const auto c = static_cast<unsigned char>(name[at]);
    const bool special = c < 0x21 || c > 0x7e || c == '{' || c == '}' || c == '/';
    out += special ? '?' : name[at];
    ++at;
  }
  const std::size_t dot = out.rfind('.');
  if (reader == ReaderKind::blocks && out.find("{serial}") == std::string::npos && dot != std::string::npos &&
      dot > 0) {
    return "*" + out.substr(dot);  // programs come under any name
  }
  return out;
}

struct Proposed {
  Candidate candidate;
  std::vector<std::string> patterns;
  std::vector<std::string> comments;
};

int confidence(const SurveyedFile& file) {
  const std::size_t lines = std::max<std::size_t>(file.lines, 1);
  const std::size_t fit = lines - std::min(lines, file.unread);
  const int per_cent = static_cast<int>(fit * 100 / lines);
  constexpr int a_guess = 10;
  constexpr int few_lines = 15;
  const int less = a_guess * static_cast<int>(file.guesses.size()) + (lines < 3 ? few_lines : 0);
  return std::max(0, per_cent - less);
}

}  // namespace

Survey survey(const std::vector<OriginalView>& samples, const std::string& serial) {
  if (samples.empty()) throw Error(ErrorKind::usage, "there are no samples", "name files off the control");
  Survey found;
  const std::string carried = serial.empty() ? serial_in(samples) : serial;
  std::vector<Proposed> sources;
  std::vector<OriginalView> taken;
  for (const OriginalView& original : samples) {
    reader::Cleaned cleaned;
    reader::clean(original.bytes, original.name, cleaned);
    const Sample sample = layout::look_at(original.name, cleaned.text);
    auto tried = best(sample, original);
    if (!tried) {
      found.left_out.emplace_back(original.name);
      continue;
    }
    taken.push_back(original);
    SurveyedFile& file = found.files.emplace_back();
    file.name = original.name;
    file.parity = cleaned.parity;
    file.lines = sample.code_lines();
    file.lines -= std::min(file.lines, tried->candidate.header_lines);
    if (!found.units) found.units = layout::units_in(sample);
    file.group = tried->candidate.group;
    file.reader = tried->candidate.reader;
    file.guesses = tried->candidate.guesses;
    file.pattern = pattern_of(original.name, carried, file.reader);
    const auto same = std::find_if(sources.begin(), sources.end(), [&](const Proposed& each) {
      return each.candidate.reader == file.reader && each.candidate.group == file.group &&
             each.candidate.keys == tried->candidate.keys;
    });
    Proposed& source =
        same != sources.end() ? *same : sources.emplace_back(Proposed{tried->candidate, {}, {}});
    if (std::find(source.patterns.begin(), source.patterns.end(), file.pattern) == source.patterns.end()) {
      source.patterns.push_back(file.pattern);
    }
    std::string comment = fmt::format("# From {}: {} of {} lines read", escape(original.name),
                                      file.lines - std::min(file.lines, tried->unread), file.lines);
    if (file.parity) comment += "; its bytes carry even parity, which every reader takes off";
    source.comments.push_back(comment + ".\n");
    for (const std::string& guess : file.guesses)
      source.comments.push_back("# Guessed: " + escape(guess) + ".\n");
  }
  if (taken.empty()) {
    throw Error(ErrorKind::input, fmt::format("no reader fits {}", escape(samples.front().name)),
                "write its source by hand, see keepway help layout",
                Place{std::string(samples.front().name)});
  }
  // A file goes to the first source whose pattern takes it: programs, which take most, are last.
  std::stable_sort(sources.begin(), sources.end(), [](const Proposed& a, const Proposed& b) {
    return (a.candidate.reader == ReaderKind::blocks) < (b.candidate.reader == ReaderKind::blocks);
  });
  std::string text;
  for (const std::string& name : found.left_out)
    text += fmt::format("\n# No reader fits {}: write its source by hand.\n", escape(name));
  for (const Proposed& source : sources) {
    text += "\n";
    for (const std::string& comment : source.comments) text += comment;
    text += source_toml(source.candidate, source.patterns);
  }
  found.layout = layout_toml(text, found.units);

  // Tried as a whole, by the files' own names: what is handed out is what was read with.
  const Layout whole = parse_layout(found.layout, "proposed layout");
  const Reading reading = read_backup(whole, {carried, found.units.value_or(Units::inch)}, taken);
  for (std::size_t i = 0; i < taken.size(); ++i) {
    SurveyedFile& file = found.files[i];
    note_misfits(reading, i, file.unread, file.misfits, taken[i]);
    file.items = reading.files[i].items;
    file.confidence = confidence(file);
  }
  return found;
}

}  // namespace keepway
