// Changes of a program's blocks that can hurt: lines of one stretch that differ, paired by what they are
// without their numbers, else by the words that they share.
#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <optional>
#include <unordered_map>
#include <utility>

#include "keepway/compare.hpp"
#include "keepway/decimal.hpp"
#include "verdict/caution.hpp"
#include "verdict/checks.hpp"
#include "verdict/number_words.hpp"
#include "verdict/old_names.hpp"
#include "verdict/received_program.hpp"

namespace keepway::verdict {
namespace {

// A line of the normal form, and its place there from 0.
struct Placed {
  const std::string* text = nullptr;
  std::size_t line = 0;
};

bool is_plain(std::string_view number) {
  return number.find_first_of(".+-") == std::string_view::npos;
}

// Whether a word that had a decimal point has none now, by the files.
bool point_is_missing(const ReceivedProgram& received, char letter, std::string_view before,
                      std::string_view after, const std::string& from, const std::string& to) {
  if (!may_have_lost_its_point(from, to)) return false;
  if (!has_point(before) || after.empty() || has_point(after)) return false;
  if (is_tens_apart(from, to)) return true;
  const bool address = letter >= 'A' && letter <= 'Z';
  return address && received.counts() && !received.writes_whole_numbers(letter);
}

void check_blocks(const ReceivedProgram& received, const Placed& before, const Placed& after,
                  Caution& caution) {
  const NumbersByLetter was(number_words(*before.text));
  const NumbersByLetter was_written = received.before(before.line);
  const NumbersByLetter is_written = received.after(after.line);
  for (const NumberWord& each : number_words(*after.text).words) {
    const char letter = each.letter;
    const std::string from(was.at(each));
    const std::string to(each.number);
    const bool code = is_code(letter);
    if (from.empty() || (code && is_plain(from) && is_plain(to))) continue;
    Caution word;
    const DigitShift shift = shift_between(from, to);
    add_shift(word, shift, from, to);
    if (shift == DigitShift::none && from != to && !code) {
      if (point_is_missing(received, letter, was_written.at(each), is_written.at(each), from, to))
        add_point_missing(word);
      else if (may_lack_its_point(from, to))
        add(word, "point-missing", "a hundredth or less: is a decimal point missing?");
    }
    if (word.codes.empty()) continue;
    const std::string which = fmt::format("{}{} to {}: {}", letter, from, to, word.why);
    add(caution, word.codes.front().c_str(), which);
  }
}

// A line that no other became, in a program that has a point in each number along an axis.
void check_new_block(const ReceivedProgram& received, const Placed& after, Caution& caution) {
  if (!received.counts() || !received.always_has_points()) return;
  const NumbersByLetter as_written = received.after(after.line);
  for (const NumberWord& each : number_words(*after.text).words) {
    if (std::string_view("XYZUVWABCIJR").find(each.letter) == std::string_view::npos) continue;
    const std::string_view written = as_written.at(each);
    const auto value = Decimal::parse(written);
    if (!value || value->is_zero() || has_point(written)) continue;
    add(caution, "point-missing",
        fmt::format("{}{}: the program has a point in each such number: is one missing here?", each.letter,
                    written));
  }
}

// The lines of one side of a stretch that have no partner yet, in their order. Partners are taken near the
// front: a deque moves few of them.
class Waiting {
 public:
  using Lines = std::deque<Placed>;

  Waiting(const std::vector<std::string>& lines, std::size_t first_line) {
    for (std::size_t i = 0; i < lines.size(); ++i)
      by_form_[number_words(lines[i]).form].push_back({&lines[i], first_line - 1 + i});
  }

  // Of the next few lines of the same form, the one that shares the most amounts with this one.
  Placed take_alike(const std::string& line) {
    const NumberWords words = number_words(line);
    const auto found = by_form_.find(words.form);
    return found == by_form_.end() ? Placed() : take(found->second, words, true);
  }

  // Those that are left.
  Lines rest() const {
    Lines out;
    for (const auto& [form, lines] : by_form_) out.insert(out.end(), lines.begin(), lines.end());
    std::sort(out.begin(), out.end(), [](const Placed& a, const Placed& b) { return a.line < b.line; });
    return out;
  }

  // Of the next few of `rest`, the one that shares the most amounts with this line; none where none does.
  static Placed take_kin(Lines& rest, const std::string& line) {
    return take(rest, number_words(line), false);
  }

 private:
  // `or_first`: where none shares an amount.
  static Placed take(Lines& lines, const NumberWords& words, bool or_first) {
    constexpr std::size_t look_ahead = 8;
    std::size_t best = or_first ? 0 : lines.size();
    std::size_t most = 0;
    for (std::size_t i = 0; i < std::min(lines.size(), look_ahead); ++i) {
      const std::size_t shared = shared_amounts(words, *lines[i].text);
      if (shared <= most || (shared < 2 && !or_first)) continue;
      most = shared;
      best = i;
    }
    if (best >= lines.size()) return {};
    const Placed out = lines[best];
    lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(best));
    return out;
  }

  // Amounts that are the same count twice, those that a missed key made of each other once.
  static std::size_t shared_amounts(const NumberWords& words, const std::string& line) {
    const NumbersByLetter other(number_words(line));
    std::size_t shared = 0;
    for (const NumberWord& word : words.words) {
      if (is_code(word.letter)) continue;
      const std::string_view number = other.at(word);
      if (number == word.number)
        shared += 2;
      else if (shift_between(number, word.number) != DigitShift::none)
        ++shared;
    }
    return shared;
  }

  std::unordered_map<std::string, Lines> by_form_;
};

void check_stretch(const ReceivedProgram& received, const std::string& name, const BlockChange& stretch,
                   std::vector<Caution>& cautions) {
  Waiting waiting(stretch.before, stretch.before_line);
  std::vector<Placed> partners;
  partners.reserve(stretch.after.size());
  for (const std::string& line : stretch.after) partners.push_back(waiting.take_alike(line));
  Waiting::Lines rest = waiting.rest();
  for (std::size_t i = 0; i < stretch.after.size(); ++i) {
    const Placed is = {&stretch.after[i], stretch.after_line - 1 + i};
    Placed was = partners[i];
    if (was.text == nullptr) was = Waiting::take_kin(rest, *is.text);
    Caution caution;
    if (was.text == nullptr)
      check_new_block(received, is, caution);
    else
      check_blocks(received, was, is, caution);
    if (caution.codes.empty()) continue;
    caution.address = {Group::programs, name};
    if (was.text != nullptr) caution.before = *was.text;
    caution.after = stretch.after[i];
    cautions.push_back(std::move(caution));
  }
  const auto add_blocks = [&](const char* code, std::string why, std::string was, std::string is) {
    Caution caution;
    add(caution, code, std::move(why));
    caution.address = {Group::programs, name};
    caution.before = std::move(was);
    caution.after = std::move(is);
    cautions.push_back(std::move(caution));
  };
  for (const auto& [was, is] : stretch.to_rapid) {
    add_blocks("feed-to-rapid",
               was == is ? "it moved at feed, and moves at rapid now: the block before it leaves G0 in force"
                         : "it moved at feed, and moves at rapid now",
               was, is);
  }
  for (const ModeChange& mode : stretch.modes)
    add_blocks("mode-changed", mode.meaning, mode.before, mode.after);
}

std::vector<BlockChange> changed_blocks(const std::string& before, const std::string& after) {
  auto change = compare_programs(before, after);
  return change ? std::move(change->blocks) : std::vector<BlockChange>();
}

}  // namespace

void add_program_cautions(Case& in, std::vector<Caution>& cautions) {
  const Reading& reading = in.input().reading;
  std::optional<OldNames> old_names;  // asked where a program is new
  for (const ChangedProgram& changed : in.changed_programs()) {
    const Program& program = changed.now;
    const Program* before = changed.was;
    if (before == nullptr) {
      if (!old_names) old_names.emplace(in.before()->state, reading.state);
      before = old_names->of(program);
    }
    if (before == nullptr) continue;
    const auto facts = std::find_if(reading.programs.begin(), reading.programs.end(),
                                    [&](const ProgramFacts& each) { return each.name == program.name; });
    std::vector<BlockChange> renamed;
    if (changed.was == nullptr) renamed = changed_blocks(before->text, program.text);
    const std::vector<BlockChange>& blocks = changed.was != nullptr ? changed.blocks : renamed;
    if (blocks.empty() || facts == reading.programs.end()) continue;
    const ReceivedProgram received(in, *facts, before->name);
    for (const BlockChange& stretch : blocks) check_stretch(received, program.name, stretch, cautions);
  }
}

}  // namespace keepway::verdict
