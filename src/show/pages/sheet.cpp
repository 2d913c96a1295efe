#include "keepway/sheet.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/restore.hpp"
#include "keepway/status.hpp"
#include "show/pages/assets.hpp"
#include "show/pages/html_text.hpp"
#include "show/pages/sheet_room.hpp"
#include "show/pages/sheet_values.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

using pages::html_text;

using pages::most_card_files;
using pages::most_card_name;
using pages::most_card_title;

std::string steps_html(const std::vector<OwnerStep>& steps, std::string_view key) {
  if (steps.empty()) {
    return fmt::format(
        "<p class=\"blank\">The steps of this machine are not known yet: write them here by hand. Once "
        "they are in its layout, the card prints them (<code>keepway help layout</code>, {}).</p>\n<ol "
        "class=\"lines\"><li></li><li></li><li></li><li></li></ol>\n",
        key);
  }
  std::string out = "<ol class=\"steps\">\n";
  for (const OwnerStep& step : steps) {
    out += "<li>" + html_text(step.text);
    if (!step.unlock.empty()) out += fmt::format(" <b class=\"off\">{} OFF</b>", html_text(step.unlock));
    if (!step.lock.empty()) out += fmt::format(" <b class=\"on\">{} back ON</b>", html_text(step.lock));
    out += "</li>\n";
  }
  return out + "</ol>\n";
}

const char* section_start(const std::vector<OwnerStep>& steps) {
  return pages::is_dense(steps) ? "<section class=\"dense\">\n" : "<section>\n";
}

std::string good_html(const SheetFacts& facts) {
  std::string out = "<h2>What a good backup looks like</h2>\n";
  if (facts.good) {
    out += fmt::format("<p>As the last good one, #{} of {}: {} in {}.</p>\n<table class=\"counts\"><tr>",
                       facts.good->number, format_time(facts.good->at).substr(0, 10),
                       count_of(facts.good->counts.files, "file", "files"),
                       count_of(static_cast<std::size_t>(facts.good->counts.bytes), "byte", "bytes"));
    for (const Group group : all_groups) {
      out += fmt::format("<td><b>{}</b> {}</td>",
                         with_commas(facts.good->counts.items[static_cast<std::size_t>(group)]),
                         group_name(group));
    }
    out += "</tr></table>\n";
  } else {
    out += "<p>No good backup yet. These are the files that the layout asks for:</p>\n";
  }
  out += "<ul class=\"files\">\n";
  for (std::size_t i = 0; i < std::min(facts.files.size(), most_card_files); ++i) {
    const SheetFile& file = facts.files[i];
    out += fmt::format("<li><code>{}</code>{}</li>\n", html_text(shortened(file.name, most_card_name)),
                       file.lost    ? " (lost from what is stored)"
                       : file.bytes ? fmt::format(" {}", with_commas(*file.bytes))
                                    : "");
  }
  if (facts.files.size() > most_card_files)
    out += fmt::format("<li>and {} more</li>\n", facts.files.size() - most_card_files);
  return out + "</ul>\n";
}

std::string due_html(const SheetFacts& facts) {
  const auto box = [&](std::string_view title, std::optional<std::int64_t> day, bool falls_due) {
    const std::string date = day ? format_time(*day).substr(0, 10) : "____________";
    const bool is_overdue = falls_due && day && *day <= facts.made;
    return fmt::format("<div><span>{}</span><b>{}{}</b></div>", title, date, is_overdue ? " OVERDUE" : "");
  };
  const Battery& battery = facts.machine.battery;
  std::string backup;
  if (facts.good && facts.backup_due) backup = box("Next backup due", facts.backup_due, true) + "<div></div>";
  return "<div class=\"battery\">" + backup + box("Memory battery changed", battery.changed, false) +
         box("Next change due", battery.due(), true) +
         fmt::format("<p>{}</p></div>\n", pages::battery_caution);
}

// Rows to sign: who took a backup by this card, and when.
std::string signatures_html(std::size_t rows) {
  if (rows == 0) return "";
  std::string out =
      "<h2>Backups taken</h2>\n<table class=\"signed\"><tr><th>date</th><th>stored as</th><th>verdict</th>"
      "<th>signature</th></tr>\n";
  for (std::size_t i = 0; i < rows; ++i) out += "<tr><td></td><td>#</td><td></td><td></td></tr>\n";
  return out + "</table>\n";
}

// What is not the same on any two cards: the offsets, and the rows to sign in what they leave of the first
// side.
struct Fill {
  std::string offsets_first;
  std::string offsets_second;
  std::size_t rows_to_sign = 0;
};

std::string offsets_html(const SheetFacts& facts, const std::string& tables, bool again) {
  if (tables.empty()) return "";
  const std::string title =
      fmt::format("<h2>Offsets as of #{} of {}{}</h2>\n", facts.good->number,
                  format_time(facts.good->at).substr(0, 10), again ? ", continued" : "");
  return title +
         fmt::format("<p>Units: {}.{}</p>\n", units_name(facts.machine.units),
                     again ? "" : " They are of that day: check each at the machine before you use it.") +
         tables;
}

Fill fill_of(const SheetFacts& facts) {
  constexpr std::size_t fewest = 4;  // rows to sign
  constexpr std::size_t most = 16;
  const bool dense = pages::is_dense(facts.steps.backup);
  const double to_sign = pages::heading_mm(dense) + pages::line_mm(dense);
  const double head = pages::heading_mm(false) + pages::line_mm(false) + 2;  // of the offsets
  double first = pages::mm_left_on_backup_side(facts);
  Fill fill;
  if (facts.good) {
    const double kept = to_sign + static_cast<double>(fewest) * pages::signed_row_mm;
    const pages::OffsetsRoom on_first{first - kept - head};
    const pages::OffsetsRoom on_second{pages::mm_left_on_restore_side(facts) - head};
    const auto put = [&](const std::vector<pages::OffsetsRoom>& rooms) {
      return pages::offsets_on_card(facts.offsets, facts.precision, facts.machine.name, rooms);
    };
    // All on the second side, which has the room; else as a card is read, from the first side on.
    auto card = put({{0}, on_second});
    if (card.left_out > 0 || card.is_fine) card = put({on_first, on_second});
    fill.offsets_first = offsets_html(facts, card.sides[0], false);
    fill.offsets_second = offsets_html(facts, card.sides[1], !card.sides[0].empty());
    if (!card.sides[0].empty()) first -= head + card.used[0];
  }
  const double rows = std::max(0.0, (first - to_sign) / pages::signed_row_mm);
  fill.rows_to_sign = std::min(most, static_cast<std::size_t>(rows));
  return fill;
}

std::string head_html(const SheetFacts& facts, std::string_view side, std::string_view title) {
  return fmt::format(
      "<header><div><h1>{}</h1><p>{}{} &middot; {}</p></div><p class=\"side\">side "
      "{}</p></header>\n<h2>{}</h2>\n",
      html_text(shortened(facts.machine.title, most_card_title)), html_text(facts.machine.name),
      facts.machine.serial.empty() ? "" : " &middot; serial " + html_text(facts.machine.serial),
      units_name(facts.machine.units), side, title);
}

std::string last_html(const SheetFacts& facts) {
  if (!facts.good) return "<p class=\"blank\">No good backup is stored yet.</p>\n";
  const Backup& good = *facts.good;
  const std::string date = format_time(good.at).substr(0, 10);
  const std::string code =
      fmt::format("keepway {} #{} {} sha256:{}", facts.machine.name, good.number, date, good.digest);
  return fmt::format(
             "<div class=\"last\">{}<div><h2>The last good backup</h2><p>#{} of {}, by {}</p>"
             "<p class=\"digest\">{}</p><p>The code holds this digest (SHA-256 of all files, with their "
             "names). To "
             "write its "
             "files: <code>keepway restore {} --at '#{}' --to FOLDER</code></p></div></div>\n",
             qr_svg(code, "Digest of the last good backup"), good.number, date,
             html_text(shortened(good.who, most_card_name)), html_text(good.digest),
             html_text(facts.machine.name), good.number) +
         (facts.lost
              ? fmt::format("<p class=\"blank\">Files of this backup are lost from what is stored. Before "
                            "it is needed, repair it, or take a new backup and print this card again; "
                            "<code>keepway audit {}</code> says what is missing.</p>\n",
                            html_text(facts.machine.name))
              : "");
}

}  // namespace

std::string sheet(const SheetFacts& facts) {
  const bool a4 = facts.paper == Paper::a4;
  std::string out = fmt::format(
      "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
      "'unsafe-inline'\">\n"
      "<title>{}: backup card</title>\n<style>\n@page {{ size: {}; margin: 12mm; "
      "}}\n{}</style>\n</head>\n<body>\n<main>\n",
      html_text(facts.machine.title), a4 ? "A4" : "Letter", assets::sheet_style);
  const std::string foot =
      fmt::format("<footer>keepway card for {}, made {}. Print it again when any of this changes.</footer>\n",
                  html_text(facts.machine.name), format_time(facts.made).substr(0, 10));
  const Fill fill = fill_of(facts);
  out += section_start(facts.steps.backup) + head_html(facts, "1 of 2", "Take a full backup") +
         steps_html(facts.steps.backup, "backup_step") + good_html(facts) + due_html(facts) +
         fill.offsets_first + signatures_html(fill.rows_to_sign) + foot + "</section>\n" +
         section_start(facts.steps.restore) + head_html(facts, "2 of 2", "Before you load anything") +
         "<ul class=\"cautions\">\n";
  for (const std::string& caution : loading_cautions()) out += "<li>" + html_text(caution) + "</li>\n";
  out += "</ul>\n<h2>Put a backup back</h2>\n" + steps_html(facts.steps.restore, "restore_step") +
         last_html(facts) + fill.offsets_second + foot + "</section>\n</main>\n</body>\n</html>\n";
  return out;
}

}  // namespace keepway::show
