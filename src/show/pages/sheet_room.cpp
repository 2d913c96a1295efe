#include "show/pages/sheet_room.hpp"

#include <algorithm>
#include <cmath>

#include "keepway/restore.hpp"
#include "show/text.hpp"

namespace keepway::show::pages {
namespace {

constexpr double mm_a_point = 0.3528;
constexpr double spare = 2;  // of a side

// Sizes of sheet.css, in points and mm.
struct Type {
  double points;
  double line_height;
  double title;        // points
  double heading;      // points
  double heading_gap;  // above and below
  double step_gap;
  double code;  // the side of the square
};
constexpr Type full_type{10.5, 1.32, 17, 12, 4.7, 1.6, 36};
constexpr Type small_type{8.4, 1.25, 12, 10, 3, 0.9, 32};

const Type& type_of(bool dense) {
  return dense ? small_type : full_type;
}
double line_of(const Type& type) {
  return type.points * type.line_height * mm_a_point;
}
double heading_of(const Type& type) {
  return type.heading * type.line_height * mm_a_point + type.heading_gap;
}

// Of a letter, in the size of its font: as a broad one among the common fonts has it.
double width_of(char32_t c) {
  constexpr std::u32string_view thin = U"ijlI.,:;'|! ";
  constexpr std::u32string_view narrow = U"ftr()[]/-\"";
  constexpr std::u32string_view broad = U"mMW@%+=<>";
  if (thin.find(c) != std::u32string_view::npos) return 0.33;
  if (narrow.find(c) != std::u32string_view::npos) return 0.46;
  if (broad.find(c) != std::u32string_view::npos) return 1;
  if (c == 'w') return 0.82;
  if (c >= 'A' && c <= 'Z') return 0.74;
  return c < 0x2000 ? 0.64 : 1.05;
}

std::string with_locks(const OwnerStep& step) {
  std::string text = step.text;
  if (!step.unlock.empty()) text += "   " + step.unlock + " OFF ";
  if (!step.lock.empty()) text += "   " + step.lock + " back ON ";
  return text;
}

double steps_mm(const std::vector<OwnerStep>& steps, const Type& type) {
  constexpr double indent = 8;
  constexpr double by_hand = 4 * 8.2;  // lines to write on
  if (steps.empty()) return by_hand + 3 * line_of(type) + 2;
  double mm = 0;
  for (const OwnerStep& step : steps)
    mm += lines_in(with_locks(step), type.points, card_width - indent) * line_of(type) + type.step_gap;
  return mm;
}

double head_mm(const MachineFacts& machine, const Type& type) {
  constexpr double side = 32;  // "side 1 of 2", and the gap before it
  const std::string below = machine.name + " · serial " + machine.serial + " · inch";
  return lines_in(shortened(machine.title, most_card_title), type.title, card_width - side) * type.title *
             1.1 * mm_a_point +
         lines_in(below, type.points, card_width - side) * line_of(type) + 3.1 + heading_of(type);
}

double foot_mm(const Type& type) {
  return 2.5 + 8 * type.line_height * mm_a_point;
}

double paper_mm(Paper paper) {
  constexpr double margins = 24;
  return (paper == Paper::a4 ? 297 : 279.4) - margins - spare;
}

double files_mm(const SheetFacts& facts, const Type& type) {
  const std::size_t listed =
      std::min(facts.files.size(), most_card_files) + (facts.files.size() > most_card_files ? 1 : 0);
  const double rows = std::ceil(static_cast<double>(listed) / 2);
  const double counts = facts.good ? line_of(type) + 2 : 0;
  return heading_of(type) + line_of(type) + 2 + counts + rows * line_of(type) + 3;
}

double due_mm(const SheetFacts& facts, const Type& type) {
  const double rows = facts.good && facts.backup_due ? 2 : 1;
  return 3 + 4 + rows * line_of(type) +
         lines_in(battery_caution, type.points * 0.92, card_width - 8) * line_of(type) + 2;
}

double last_mm(const SheetFacts& facts, const Type& type) {
  if (!facts.good) return line_of(type) + 2;
  constexpr double lines = 5;  // who took it, the digest, what the code is for
  const double beside = heading_of(type) - type.heading_gap + lines * line_of(type) + 5;
  const double lost = facts.lost ? 3 * line_of(type) + 2 : 0;
  return 3 + std::max(type.code, beside) + lost;
}

}  // namespace

double text_mm(std::string_view text, double points) {
  double ems = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if ((byte & 0xC0U) == 0x80U) continue;  // goes on with the letter before
    // Of letters in three bytes quotes and dashes are no broader than others.
    const bool is_sign = text.substr(i).starts_with("\xE2\x80");
    ems += byte < 0x80U ? width_of(byte) : byte < 0xE0U || is_sign ? width_of(0x100) : width_of(0x3000);
  }
  return ems * points * mm_a_point;
}

double lines_in(std::string_view text, double points, double mm) {
  constexpr double used = 0.97;  // the last word of each may not fit
  return std::max(1.0, std::ceil(text_mm(text, points) / (mm * used)));
}

bool is_dense(const std::vector<OwnerStep>& steps) {
  constexpr double most = 95;  // mm
  return steps_mm(steps, full_type) > most;
}

double heading_mm(bool dense) {
  return heading_of(type_of(dense));
}
double line_mm(bool dense) {
  return line_of(type_of(dense));
}

double mm_left_on_backup_side(const SheetFacts& facts) {
  const Type& type = type_of(is_dense(facts.steps.backup));
  return paper_mm(facts.paper) - head_mm(facts.machine, type) - steps_mm(facts.steps.backup, type) -
         files_mm(facts, type) - due_mm(facts, type) - foot_mm(type);
}

double mm_left_on_restore_side(const SheetFacts& facts) {
  const Type& type = type_of(is_dense(facts.steps.restore));
  double cautions_mm = 5;
  for (const std::string& caution : loading_cautions())
    cautions_mm += lines_in(caution, type.points, card_width - 14) * line_of(type) + 0.6;
  return paper_mm(facts.paper) - head_mm(facts.machine, type) - cautions_mm - heading_of(type) -
         steps_mm(facts.steps.restore, type) - last_mm(facts, type) - foot_mm(type);
}

}  // namespace keepway::show::pages
