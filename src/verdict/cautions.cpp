// Changes that can hurt, whatever the backup is worth: what to look at before the machine cuts.
#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "keepway/compare.hpp"
#include "keepway/text.hpp"
#include "verdict/checks.hpp"
#include "verdict/number_shape.hpp"

namespace keepway::verdict {
namespace {

void add(Caution& caution, const char* code, std::string why) {
  caution.codes.emplace_back(code);
  caution.why += (caution.why.empty() ? "" : "; ") + std::move(why);
}

void add_shift(Caution& caution, DigitShift shift, const std::string& before, const std::string& after) {
  switch (shift) {
    case DigitShift::none:
      return;
    case DigitShift::sign:
      return add(caution, "sign-flipped", "the sign flipped");
    case DigitShift::tens:
      return add(caution, "factor-of-ten", "the same digits, " + tens_between(before, after));
    case DigitShift::point:
      const bool gone = before.find('.') != std::string::npos;
      return add(caution, gone ? "point-gone" : "point-added",
                 gone ? "the decimal point is gone" : "a decimal point was added");
  }
}

// What is wrong with a value by its entry in the namebook; empty when nothing is.
std::string limit_fault(const Entry& entry, const Decimal& value) {
  if (entry.min && value < *entry.min) return "below its limit of " + entry.min->text();
  if (entry.max && value > *entry.max) return "above its limit of " + entry.max->text();
  if (entry.kind != Kind::choice || entry.meanings.empty()) return "";
  const bool listed = std::any_of(entry.meanings.begin(), entry.meanings.end(), [&](const Meaning& meaning) {
    return Decimal::parse(meaning.value) == value;
  });
  return listed ? "" : "not one of its choices";
}

// A point that is missing where numbers count in increments: the value is a small part of what it was, and
// only the files tell why.
bool lost_point(Case& in, Group group, const std::string& key) {
  const Origin* now = in.input().reading.origin(group, key);
  const Pair* pair = now == nullptr ? nullptr : in.pair_of(now->span.file);
  if (pair == nullptr || pair->same) return false;
  const std::string_view text = in.now(*pair);
  if (text.substr(now->span.at, now->span.length).find('.') != std::string_view::npos) return false;
  const Origin* was = in.reading_was(*pair).origin(group, key);
  return was != nullptr &&
         in.was(*pair).substr(was->span.at, was->span.length).find('.') != std::string_view::npos;
}

void check_value(Case& in, const ValueChange& change, std::vector<Caution>& cautions) {
  if (!change.after || is_unread(change.key)) return;
  const auto entry = in.input().namebook.find(change.group, change.key);
  if (entry && entry->living) return;
  Caution caution;
  caution.address = {change.group, change.key};
  caution.name = entry ? entry->name : "";
  caution.before = change.before;
  caution.after = change.after;
  if (change.before) {
    const DigitShift shift = shift_between(*change.before, *change.after);
    const bool point = shift == DigitShift::tens && lost_point(in, change.group, change.key);
    if (point) {
      add(caution, "point-gone", "the decimal point is gone: " + tens_between(*change.before, *change.after));
    } else {
      add_shift(caution, shift, *change.before, *change.after);
    }
  }
  const auto after = Decimal::parse(*change.after);
  const auto before = change.before ? Decimal::parse(*change.before) : std::nullopt;
  if (entry && after) {
    if (const std::string fault = limit_fault(*entry, *after); !fault.empty())
      add(caution, "out-of-limits", fault);
    if (before && entry->step && (*after - *before).abs() > *entry->step)
      add(caution, "large-step", fmt::format("more than {} in one go", entry->step->text()));
  }
  if (entry && change.before && !entry->caution.empty()) add(caution, "caution-item", entry->caution);
  if (caution.codes.empty()) return;
  if (const Origin* origin = in.input().reading.origin(change.group, change.key))
    caution.place = Place{escape(in.name_now(origin->span.file)), origin->span.line, origin->span.at};
  cautions.push_back(std::move(caution));
}

// --- programs --------------------------------------------------------------------------------

struct Word {
  char letter = 0;
  std::string_view number;
};
struct Block {
  std::string form;  // the line without its numbers
  std::vector<Word> words;
};

bool starts_number(std::string_view line, std::size_t at) {
  return (line[at] >= '0' && line[at] <= '9') || line[at] == '.' || line[at] == '-' || line[at] == '+';
}

Block block_of(std::string_view line) {
  Block block;
  char letter = 0;
  for (std::size_t at = 0; at < line.size();) {
    if (line[at] == '(') {  // a comment's numbers move nothing
      const std::size_t close = std::min(line.find(')', at), line.size());
      block.form += line.substr(at, close - at);
      at = close;
    } else if (starts_number(line, at)) {
      std::size_t end = at + 1;
      while (end < line.size() && ((line[end] >= '0' && line[end] <= '9') || line[end] == '.')) ++end;
      block.words.push_back({letter, line.substr(at, end - at)});
      block.form += '\1';
      at = end;
    } else {
      if (line[at] != ' ') letter = line[at];
      block.form += line[at++];
    }
  }
  return block;
}

// Letters whose numbers are names rather than amounts.
bool is_code(char letter) {
  return std::string_view("NOGMTHD#nogmthd").find(letter) != std::string_view::npos;
}

void check_blocks(const std::string& name, std::string_view before, std::string_view after,
                  std::vector<Caution>& cautions) {
  const Block was = block_of(before);
  const Block is = block_of(after);
  Caution caution;
  for (std::size_t i = 0; i < std::min(was.words.size(), is.words.size()); ++i) {
    if (is_code(is.words[i].letter)) continue;
    const std::string from(was.words[i].number);
    const std::string to(is.words[i].number);
    const std::size_t reasons = caution.codes.size();
    std::string why = std::move(caution.why);
    caution.why.clear();
    const DigitShift shift = shift_between(from, to);
    add_shift(caution, shift, from, to);
    if (shift == DigitShift::none && may_lack_its_point(from, to))
      add(caution, "point-missing", "a hundredth or less: is a decimal point missing?");
    if (caution.codes.size() > reasons)
      caution.why = fmt::format("{}{}{} to {}: {}", why.empty() ? "" : why + "; ", is.words[i].letter, from,
                                to, caution.why);
    else
      caution.why = std::move(why);
  }
  if (caution.codes.empty()) return;
  caution.address = {Group::programs, name};
  caution.before = before;
  caution.after = after;
  cautions.push_back(std::move(caution));
}

// Lines of one stretch that differ, paired by what they are without their numbers.
void check_stretch(const std::string& name, const std::vector<std::string>& was,
                   const std::vector<std::string>& is, std::vector<Caution>& cautions) {
  std::unordered_map<std::string, std::vector<const std::string*>> by_form;  // last first
  for (auto line = was.rbegin(); line != was.rend(); ++line) by_form[block_of(*line).form].push_back(&*line);
  for (const std::string& line : is) {
    const auto found = by_form.find(block_of(line).form);
    if (found == by_form.end() || found->second.empty()) continue;
    check_blocks(name, *found->second.back(), line, cautions);
    found->second.pop_back();
  }
}

void check_program_changes(Case& in, std::vector<Caution>& cautions) {
  for (const Program& program : in.input().reading.state.programs) {
    const Program* before = in.before()->state.program(program.name);
    if (before == nullptr || before->text == program.text) continue;
    const auto change = compare_programs(before->text, program.text);
    if (!change) continue;
    for (const BlockChange& stretch : change->blocks)
      check_stretch(program.name, stretch.before, stretch.after, cautions);
  }
}

}  // namespace

std::vector<Caution> cautions_of(Case& in) {
  std::vector<Caution> cautions;
  if (in.before() != nullptr) {
    for (const ValueChange& change : in.changed()) check_value(in, change, cautions);
    check_program_changes(in, cautions);
    return cautions;
  }
  if (in.input().namebook.entries().empty()) return cautions;
  for (const Group group : all_groups) {
    const auto& table = in.input().reading.state.table(group);
    if (!table || group == Group::programs) continue;
    for (const Item& item : *table) check_value(in, {group, item.key, std::nullopt, item.value}, cautions);
  }
  return cautions;
}

}  // namespace keepway::verdict
