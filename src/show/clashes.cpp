// Edits of two PCs that clash, and the one that was just settled.
#include <fmt/format.h>

#include "keepway/text.hpp"
#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string cell_of(const std::string& row, std::size_t column) {
  std::size_t at = 0;
  for (; column > 0 && at < row.size(); --column) at = std::min(row.find('\t', at), row.size() - 1) + 1;
  return row.substr(at, row.find('\t', at) - at);
}

// A row of a namebook stands under its heading: what two rows say, where they differ.
std::string row_text(const std::string& said, const std::string& against) {
  if (said.empty()) return "no row";
  const auto lines = [](const std::string& text) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const std::size_t from = std::min(end + 1, text.size());
    return std::pair(text.substr(0, end), text.substr(from, text.find('\n', from) - from));
  };
  const auto [heading, row] = lines(said);
  const std::string other = lines(against).second;
  std::string text;
  for (std::size_t i = 1; !cell_of(heading, i).empty(); ++i) {
    const std::string cell = cell_of(row, i);
    if (cell == cell_of(other, i)) continue;
    text +=
        fmt::format("{}{} {}", text.empty() ? "" : ", ", cell_of(heading, i), cell.empty() ? "none" : cell);
  }
  return text;
}

std::string side_text(const EditClash& clash, const std::string& said, const std::string& against) {
  if (clash.key.empty()) return said.empty() ? "none" : "blob " + said.substr(0, 10);
  if (clash.file == "namebook.tsv") return row_text(said, against);
  return said.empty() ? "none" : said;
}

std::string name_of(const EditClash& clash) {
  return clash.key.empty() ? escape(clash.file)
                           : fmt::format("{}: {}", escape(clash.file), escape(clash.key));
}

Json json_of(const EditClash& clash) {
  return {{"file", escape(clash.file)},
          {"key", clash.key.empty() ? Json(nullptr) : Json(escape(clash.key))},
          {"kept", escape(clash.kept)},
          {"other", escape(clash.other)}};
}

std::string text_of(const Context& context, const std::vector<EditClash>& open, const Settled& settled) {
  std::string text;
  if (settled.clash) {
    text = fmt::format("{}: {}.\n", name_of(*settled.clash),
                       settled.other ? "the other edit is in force now" : "the edit in force is kept");
    text += "The next sync brings it to the other PCs.\n\n";
  }
  const std::string& machine = context.machine.name;
  text += fmt::format("{}  {}\n", paint(context.style, Tone::strong, machine),
                      open.empty() ? "no edits clash" : count_of(open.size(), "clash", "clashes"));
  if (open.empty()) return text;
  Grid grid;
  grid.heading({"edited on two PCs", "in force", "the other"});
  for (const EditClash& each : open) {
    grid.row({name_of(each), escape(side_text(each, each.kept, each.other)),
              escape(side_text(each, each.other, each.kept))});
  }
  return text + "\n" + grid.text(context.style) +
         fmt::format(
             "\nKeep what is in force: keepway clashes {0} --keep {1}; take the other: keepway clashes {0} "
             "--take {1}\n",
             machine, shell_quoted(escape(open.front().key.empty() ? open.front().file : open.front().key)));
}

}  // namespace

std::string clash_text(const EditClash& clash) {
  return fmt::format("{}: edited on two PCs: {} is in force, the other is {}", name_of(clash),
                     escape(side_text(clash, clash.kept, clash.other)),
                     escape(side_text(clash, clash.other, clash.kept)));
}

Json clashes_json(const std::vector<EditClash>& clashes) {
  Json json = Json::array();
  for (const EditClash& each : clashes) json.push_back(json_of(each));
  return json;
}

Answer clashes(const Context& context, const std::vector<EditClash>& open, const Settled& settled) {
  Json json = start("clashes", &context);
  json["clashes"] = clashes_json(open);
  json["settled"] = settled.clash ? json_of(*settled.clash) : Json(nullptr);
  if (settled.clash) json["settled"]["taken"] = settled.other ? "other" : "kept";
  return {text_of(context, open, settled), finish(json)};
}

}  // namespace keepway::show
