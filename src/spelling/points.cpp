// Where the decimal point of a number came or went: the slip that moves an axis by the wrong power of ten.
#include <fmt/format.h>

#include <algorithm>

#include "compare/block_text.hpp"
#include "keepway/point.hpp"
#include "reader/text.hpp"
#include "spelling/written.hpp"

namespace keepway {
namespace {

// The number behind a letter's first word on a line as received, comments in brackets aside; empty for none.
std::string_view number_behind(std::string_view line, char letter) {
  bool comment = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '(' || line[i] == ')') comment = line[i] == '(';
    if (comment || (line[i] & ~0x20) != letter) continue;
    const bool run = i > 0 && ((line[i - 1] | 0x20) >= 'a' && (line[i - 1] | 0x20) <= 'z');
    const std::string_view rest = reader::trim(line.substr(i + 1));
    const std::size_t end = std::min(rest.find_first_not_of("+-.0123456789"), rest.size());
    if (!run && end > 0) return rest.substr(0, end);
  }
  return {};
}

class Explainer {
 public:
  Explainer(const Written& before, const Written& after) : before_(before), after_(after) {}

  void value(ValueChange& change) const {
    if (!change.before || !change.after) return;
    const Origin* was = nullptr;
    const Origin* is = nullptr;
    const std::string_view old_text = before_.value(change.group, change.key, was);
    const std::string_view new_text = after_.value(change.group, change.key, is);
    if (was == nullptr || is == nullptr || is->kind != FieldKind::number) return;
    const Source& source = after_.side().layout.sources[is->source];
    const Units units = after_.side().context.units;
    const Decimal* increment = least_increment(source, units, from_of(*is, source));
    if (increment != nullptr) change.note = point_note("", old_text, new_text, increment, units);
  }

  void program(ProgramChange& change) const {
    if (change.kind != ProgramChangeKind::changed) return;
    const Source* source = nullptr;
    const auto old_lines = before_.program(change.name, source);
    const auto new_lines = after_.program(change.name, source);
    if (source == nullptr || source->point == Point::free) return;
    for (BlockChange& block : change.blocks) {
      if (block.before.size() != block.after.size()) continue;
      for (std::size_t i = 0; i < block.after.size(); ++i) {
        const std::size_t a = block.before_line - 1 + i;
        const std::size_t b = block.after_line - 1 + i;
        if (a >= old_lines.size() || b >= new_lines.size()) continue;
        line(*source, block.before[i], block.after[i], old_lines[a], new_lines[b], block.meaning);
      }
    }
  }

 private:
  void line(const Source& source, const std::string& before, const std::string& after,
            std::string_view old_line, std::string_view new_line, std::vector<std::string>& meaning) const {
    const std::vector<Word> was = words_of(take_apart(before));
    const Units units = after_.side().context.units;
    for (const Word& word : words_of(take_apart(after))) {
      const auto old =
          std::find_if(was.begin(), was.end(), [&](const Word& w) { return w.letter == word.letter; });
      if (old == was.end() || old->value == word.value) continue;
      const Decimal* increment = word_increment(source, units, word.letter);
      if (increment == nullptr && source.increment) continue;
      std::string note = point_note(std::string(1, word.letter), number_behind(old_line, word.letter),
                                    number_behind(new_line, word.letter), increment, units);
      if (note.empty()) continue;
      if (increment != nullptr) {
        meaning.push_back(std::move(note));
        continue;
      }
      // What it counts in is not known, and so the difference is not.
      const std::string difference = fmt::format("{} {} to {} (", word.letter, old->value, word.value);
      const auto wrong = std::find_if(meaning.begin(), meaning.end(),
                                      [&](const std::string& each) { return each.starts_with(difference); });
      if (wrong != meaning.end()) *wrong = std::move(note);
    }
  }

  const Written& before_;
  const Written& after_;
};

}  // namespace

void explain_points(const Written& before, const Written& after, Changes& changes) {
  const Explainer explainer(before, after);
  for (ValueChange& change : changes.values) explainer.value(change);
  for (ProgramChange& change : changes.programs) explainer.program(change);
}

}  // namespace keepway
