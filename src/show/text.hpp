// Small tools for terminal text.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "keepway/show.hpp"

namespace keepway::show {

enum class Tone { plain, strong, faint, good, doubtful, bad, struck };
std::string paint(const Style& style, Tone tone, std::string_view text);
Tone tone_of(Worth worth);

// Columns a text takes on a terminal: UTF-8 characters, counted one each.
std::size_t width(std::string_view text);
// At most so many characters, cut at one, with an ellipsis in place of the rest.
std::string shortened(std::string_view text, std::size_t most);
inline constexpr std::size_t line_width = 100;
// Lines of at most `columns`, later ones indented by `indent`.
std::string wrap(std::string_view text, std::size_t columns, std::size_t indent);

// A table with columns as wide as they need be, two blanks apart; the last is never padded.
class Grid {
 public:
  explicit Grid(std::size_t indent = 2) : indent_(indent) {}
  void row(std::vector<std::string> cells, Tone tone = Tone::plain) {
    rows_.push_back({std::move(cells), tone});
  }
  void heading(std::vector<std::string> cells) { rows_.push_back({std::move(cells), Tone::faint}); }
  // A line of its own below the last row, indented.
  void note(Tone tone, std::string text);
  [[nodiscard]] std::string text(const Style& style) const;

 private:
  struct Row {
    std::vector<std::string> cells;
    Tone tone;
    std::vector<std::pair<Tone, std::string>> notes = {};
  };
  std::size_t indent_;
  std::vector<Row> rows_;
};

// The namebook's name of an item, not escaped; empty where it has none.
std::string item_name(const Context& context, const Address& address);
// A number as the control writes it; what the namebook takes for another kind of value, as it is.
std::string written(const Precision& precision, const std::optional<Entry>& entry, Group group,
                    const std::string& key, const std::string& value);
// What a change means, by the machine's namebook and units; and the difference as text: "-0.5 in (-12.7 mm)".
ValueMeaning meaning_of(const Context& context, const ValueChange& change);
std::string delta_text(const ValueMeaning& meaning);
std::string count_of(std::size_t number, std::string_view one, std::string_view many);
std::string with_commas(std::uint64_t number);
// "mill-2  failed: machine.toml:3: …", and what to do.
std::string failure_text(const Failure& failure);
// A word of a command that people copy: whatever it holds, a shell takes it as it is.
std::string shell_quoted(std::string_view text);
// Why the values of a backup may not be the machine's, in whole lines; empty for a good one. A lost memory
// reads as a hundred values that became 0.
std::string not_good_text(const Style& style, const Backup& backup);
// A backup as it is typed in a command: "7"; "'warm-up #2'" on a trial.
std::string typed_name(const Backup& backup);
// That two backups were not read the same way (see restoring.hpp), above what differs between them.
std::string read_otherwise_text(const Style& style);
// "#7 (2026-02-27 06:31)"
// Text of several lines with each line escaped: no byte of a backup may steer a terminal.
std::string escape_lines(std::string_view text);
// The reasons of a verdict that make a backup doubtful or refused, with what to do, on lines of their own.
std::string doubts_text(const Context& context, const Verdict& verdict);
// "doubtful, accepted", "good, withdrawn".
std::string verdict_text(const Backup& backup);
// What people said of it since it was stored, a line each.
std::vector<std::string> said_of(const Backup& backup);
// What must be known before the values of a backup are taken for what the machine holds, a line each.
std::string beside_text(const Style& style, const Backup& at, const Beside& beside);
std::string backup_name(const Backup& backup);
// The heading of a column of times: with the zone's names unless it is UTC.
std::string dated(const std::string& heading);
// One line, safe to print: what was edited on two PCs, and what each says.
std::string clash_text(const EditClash& clash);

}  // namespace keepway::show
