// What a stick holds, slot by slot.
#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

// Slots are numbered as they are found. Where positions of a stick hold no volume, its emulator's numbers run
// on ahead of ours: room for a whole slot between two tells.
std::string gaps_text(const std::vector<SlotFacts>& found, Style style) {
  std::uint64_t spacing = 0;
  for (std::size_t i = 1; i < found.size(); ++i) {
    const std::uint64_t apart = found[i].slot.offset - found[i - 1].slot.offset;
    if (spacing == 0 || apart < spacing) spacing = apart;
  }
  if (spacing == 0) return "";
  std::string text;
  const auto tell = [&](std::uint64_t room, const std::string& where) {
    if (room >= spacing) text += fmt::format("{}{}", text.empty() ? "" : ", ", where);
  };
  tell(found[0].slot.offset, "before slot 1");
  for (std::size_t i = 1; i < found.size(); ++i) {
    tell(found[i].slot.offset - found[i - 1].slot.offset - spacing,
         fmt::format("between slots {} and {}", found[i - 1].slot.number, found[i].slot.number));
  }
  if (text.empty()) return "";
  return fmt::format(
      "\n  {} there is room for a slot that holds no volume {}: the emulator may count it, and show\n"
      "    higher numbers than these\n",
      paint(style, Tone::doubtful, "!"), text);
}

}  // namespace

Answer slots(const std::string& path, const std::vector<SlotFacts>& found, Style style) {
  std::string text =
      fmt::format("{}  {}\n\n", paint(style, Tone::strong, escape(path)),
                  found.empty() ? "no floppy-sized volume found" : count_of(found.size(), "slot", "slots"));
  Json json = start("slots", nullptr);
  json["path"] = escape(path);
  json["slots"] = Json::array();
  constexpr std::size_t told = 6;
  const auto more = [&text](std::size_t all) {
    if (all > told) text += fmt::format("             … and {} more\n", all - told);
  };
  for (const SlotFacts& each : found) {
    const media::Slot& slot = each.slot;
    text += fmt::format("  slot {:<3} {:>9} bytes free  {}{}{}\n", slot.number, with_commas(slot.free_bytes),
                        count_of(slot.files.size(), "file", "files"),
                        slot.label.empty() ? "" : ", label " + escape(slot.label),
                        each.machine.empty()
                            ? ""
                            : fmt::format(", seems to be {}", paint(style, Tone::strong, each.machine)));
    Json entry{{"slot", slot.number},     {"offset", slot.offset}, {"size", slot.size},
               {"free", slot.free_bytes}, {"full", slot.full},     {"label", escape(slot.label)},
               {"machine", each.machine}};
    entry["files"] = Json::array();
    entry["deleted"] = Json::array();
    entry["flaws"] = Json::array();
    std::size_t count = 0;
    for (const media::SlotFile& file : slot.files) {
      if (++count <= told) {
        text += fmt::format("             {:<14} {:>10}  {}\n", escape(file.name), with_commas(file.size),
                            file.modified ? format_time(*file.modified) : "no date");
      }
      entry["files"].push_back(
          {{"name", escape(file.name)},
           {"size", file.size},
           {"modified", file.modified ? Json(format_time_rfc3339(*file.modified)) : Json(nullptr)}});
    }
    more(slot.files.size());
    if (slot.full)
      text += "             " + paint(style, Tone::doubtful, "! full: the control may have run out of room") +
              "\n";
    count = 0;
    for (const media::Deleted& file : slot.deleted) {
      if (++count <= told) {
        text += fmt::format("             {:<14} {:>10}  {}  deleted, {}\n", escape(file.name),
                            with_commas(file.size), file.modified ? format_time(*file.modified) : "no date",
                            file.recoverable ? "can be read with --recover" : "its clusters were used again");
      }
      entry["deleted"].push_back(
          {{"name", escape(file.name)},
           {"size", file.size},
           {"modified", file.modified ? Json(format_time_rfc3339(*file.modified)) : Json(nullptr)},
           {"recoverable", file.recoverable}});
    }
    more(slot.deleted.size());
    count = 0;
    for (const media::Flaw& flaw : slot.flaws) {
      if (++count <= told) {
        text += fmt::format("             {} {}{}\n", paint(style, Tone::doubtful, "!"),
                            flaw.file.empty() ? "" : escape(flaw.file) + ": ", flaw.what);
      }
      entry["flaws"].push_back({{"file", escape(flaw.file)}, {"what", flaw.what}});
    }
    more(slot.flaws.size());
    json["slots"].push_back(std::move(entry));
  }
  const std::string gaps = gaps_text(found, style);
  text += gaps;
  json["gaps"] = !gaps.empty();
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
