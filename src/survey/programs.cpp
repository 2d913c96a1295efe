// Programs of a whole backup: files that one source takes, and what ends a program where it is not what ends
// most controls'.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "reader/program_end.hpp"
#include "reader/text.hpp"
#include "survey/try_proposals.hpp"

namespace keepway::layout {
namespace {

// Key lines of a source by their keys; lines of remark by their text.
std::map<std::string, std::string> lines_by_key(const std::string& keys) {
  std::map<std::string, std::string> found;
  for (std::size_t at = 0; at < keys.size();) {
    const std::size_t end = std::min(keys.find('\n', at), keys.size() - 1) + 1;
    const std::string line = keys.substr(at, end - at);
    const std::size_t equals = line.starts_with('#') ? std::string::npos : line.find('=');
    found[std::string(reader::trim(line.substr(0, equals)))] = line;
    at = end;
  }
  return found;
}

// The texts of a list, each in its quotes.
std::vector<std::string> quoted_in(const std::string& line) {
  std::vector<std::string> found;
  for (std::size_t at = line.find('['); at < line.size() && line[at] != ']';) {
    const std::size_t open = line.find_first_of("\"]", at + 1);
    if (open == std::string::npos || line[open] == ']') break;
    std::size_t close = open + 1;
    while (close < line.size() && line[close] != '"') close += line[close] == '\\' ? 2U : 1U;
    found.push_back(line.substr(open, close + 1 - open));
    at = close + 1;
  }
  return found;
}

// The first line's list with the second's texts that it lacks.
std::string both_lists(const std::string& line, const std::string& other) {
  std::vector<std::string> all = quoted_in(line);
  for (std::string& text : quoted_in(other)) {
    if (std::find(all.begin(), all.end(), text) == all.end()) all.push_back(std::move(text));
  }
  std::string list;
  for (const std::string& text : all) list += (list.empty() ? "" : ", ") + text;
  std::string why = line.substr(line.rfind(']') + 1);
  return line.substr(0, line.find('[') + 1) + list + "]" + why;
}

bool is_list(const std::string& key) {
  return key == "comment" || key == "skip" || key == "numbered_by";
}

// The last block of a program, without its number, in capitals.
std::string last_block(const std::string& text) {
  std::string_view block = reader::trim(std::string_view(text).substr(0, text.find_last_not_of('\n') + 1));
  block = block.substr(block.rfind('\n') + 1);  // npos + 1 is 0
  return upper(reader::trim(reader::without_line_number(block)));
}

// "RETURN", "END OF PROGRAM": what begins with a word, which no block of a table does.
std::string word_of(const std::string& block) {
  const std::size_t end =
      static_cast<std::size_t>(std::find_if_not(block.begin(), block.end(), is_letter) - block.begin());
  const bool alone = end == block.size() || reader::is_gap(block[end]);
  const std::string word = block.substr(0, end);
  const bool goes_on = word == "GOTO" || word == "IF" || word == "WHILE";
  return end > 1 && alone && !goes_on ? word : std::string();
}

bool is_m_word(const std::string& block) {
  return block.size() > 1 && block[0] == 'M' && all_digits(std::string_view(block).substr(1));
}

// Whether some program goes on behind such a block: it ends none, then.
bool is_above_last(const Reading& reading, std::size_t source, const std::string& end) {
  std::set<std::string_view> names;
  for (const ProgramFacts& program : reading.programs) {
    if (program.source == source) names.insert(program.name);
  }
  return std::any_of(
      reading.state.programs.begin(), reading.state.programs.end(), [&](const Program& program) {
        if (!names.contains(program.name)) return false;
        const std::string& text = program.text.str();
        std::string_view above = std::string_view(text).substr(0, text.find_last_not_of("\n ") + 1);
        above = above.substr(0, above.rfind('\n') + 1);  // npos + 1 is 0
        while (!above.empty()) {
          const std::size_t line = std::min(above.find('\n'), above.size());
          if (reader::begins_with_end(above.substr(0, line), {end})) return true;
          above.remove_prefix(std::min(line + 1, above.size()));
        }
        return false;
      });
}

}  // namespace

bool join_programs(Candidate& all, const Candidate& other) {
  std::map<std::string, std::string> known = lines_by_key(all.keys);
  const std::map<std::string, std::string> more = lines_by_key(other.keys);
  const auto differs = [&](const auto& a, const auto& b) {
    return std::any_of(a.begin(), a.end(), [&](const auto& each) {
      const auto there = b.find(each.first);
      if (each.first.starts_with('#') || is_list(each.first) || each.first == "encoding") return false;
      return there == b.end() || there->second != each.second;
    });
  };
  if (differs(known, more) || differs(more, known)) return false;
  std::string keys;
  for (const auto& [key, line] : known) {
    const auto there = more.find(key);
    if (!key.starts_with('#'))
      keys += is_list(key) && there != more.end() ? both_lists(line, there->second) : line;
  }
  for (const auto& [key, line] : more) {
    if (!key.starts_with('#') && !known.contains(key)) keys += line;
  }
  for (const auto& [key, line] : known) {
    if (key.starts_with('#')) keys += line;
  }
  all.keys = keys;
  return true;
}

std::optional<Ends> marks_of(const Reading& reading, std::size_t source,
                             const std::vector<OriginalView>& originals) {
  std::set<std::string_view> files;
  for (const ProgramFacts& program : reading.programs) {
    if (program.source == source) files.insert(originals[program.span.file].name);
  }
  std::set<std::string_view> open;
  for (const Oddity& oddity : reading.oddities) {
    if (oddity.kind == OddityKind::mark_unclosed) open.insert(oddity.place.file);
  }
  if (files.size() < 2 || !std::includes(open.begin(), open.end(), files.begin(), files.end()))
    return std::nullopt;
  return Ends{key_line("percent", toml_quoted("none"), "each file has one, which nothing closes"),
              {"that % closes nothing: each file of programs begins with one, and has no other", "percent"}};
}

std::optional<Guess> several_ends_of(const Reading& reading, std::size_t source) {
  std::set<std::string_view> names;
  for (const ProgramFacts& program : reading.programs) {
    if (program.source == source) names.insert(program.name);
  }
  std::string first;
  std::size_t ends = 0;
  std::size_t all = 0;
  for (const Program& program : reading.state.programs) {
    const std::size_t here = names.contains(program.name) ? ends_in(program.text.str()) : 0;
    if (here < 2) continue;
    if (++all > 1) continue;
    first = program.name;
    ends = here;
  }
  if (all == 0) return std::nullopt;
  const std::string what =
      all == 1 ? fmt::format("{} is one program: it has {} ends", first, ends)
               : fmt::format("{} and {} more are one program each: they have several ends", first, all - 1);
  return Guess{"that " + what + ", M2 or M30", ""};
}

std::optional<Ends> ends_of(const Reading& reading, std::size_t source) {
  std::map<std::string_view, std::string> last;
  for (const Program& program : reading.state.programs) last[program.name] = last_block(program.text.str());
  std::set<std::string> words;
  std::set<std::string> m_words;
  std::size_t ended = 0;
  std::size_t open = 0;  // that nothing ends
  for (const ProgramFacts& program : reading.programs) {
    if (program.source != source) continue;
    if (program.ended) {
      ++ended;
      continue;
    }
    const std::string& block = last[program.name];
    const std::string word = word_of(block);
    if (!word.empty()) {
      words.insert(word);
    } else if (is_m_word(block)) {
      m_words.insert(block);
    } else {
      ++open;
    }
  }
  constexpr std::size_t most = 3;  // ends that one control has
  if (ended == 0 && open + words.size() + m_words.size() > 1 && open > 0) {
    return Ends{key_line("ends", toml_quoted("none"), "no program here has an end"),
                {"that nothing ends a program: none has M2, M30, M99 or a closing %", "ends"}};
  }
  if (ended == 0) words.merge(m_words);
  if (words.empty() || words.size() > most) return std::nullopt;
  std::erase_if(words, [&](const std::string& word) { return is_above_last(reading, source, word); });
  if (words.empty()) return std::nullopt;
  const std::vector<std::string> list(words.begin(), words.end());
  return Ends{key_line("ends", toml_list(list), "what ends a program beside M2, M30, M99 and %"),
              {fmt::format("that {} ends a program", fmt::join(list, " or ")), "ends"}};
}

}  // namespace keepway::layout
