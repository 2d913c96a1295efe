// What a stick holds, slot by slot.
#include <fmt/format.h>

#include <algorithm>
#include <span>

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
  const auto add = [&](std::uint64_t room, const std::string& where) {
    if (room >= spacing) text += fmt::format("{}{}", text.empty() ? "" : ", ", where);
  };
  add(found[0].slot.offset, "before slot 1");
  for (std::size_t i = 1; i < found.size(); ++i) {
    add(found[i].slot.offset - found[i - 1].slot.offset - spacing,
        fmt::format("between slots {} and {}", found[i - 1].slot.number, found[i].slot.number));
  }
  if (text.empty()) return "";
  return fmt::format(
      "\n  {} there is room for a slot that holds no volume {}: the emulator may count it, and show\n"
      "    higher numbers than these\n",
      paint(style, Tone::doubtful, "!"), text);
}

// Of each list of a slot; all are in the JSON.
constexpr std::size_t max_files_listed = 6;

std::string more_text(std::size_t all) {
  return all > max_files_listed ? fmt::format("             … and {} more\n", all - max_files_listed) : "";
}

template <typename T>
std::span<const T> listed(const std::vector<T>& all) {
  return std::span(all).first(std::min(all.size(), max_files_listed));
}

std::string date_text(const std::optional<std::int64_t>& modified) {
  return modified ? format_time(*modified) : "no date";
}

std::string slot_text(const SlotFacts& facts, Style style) {
  const media::Slot& slot = facts.slot;
  const std::string mark = paint(style, Tone::doubtful, "!");
  std::string text = fmt::format(
      "  slot {:<3} {:>9} bytes free  {}{}{}\n", slot.number, with_commas(slot.free_bytes),
      count_of(slot.files.size(), "file", "files"), slot.label.empty() ? "" : ", label " + escape(slot.label),
      facts.machine.empty() ? ""
                            : fmt::format(", seems to be {}", paint(style, Tone::strong, facts.machine)));
  for (const media::SlotFile& file : listed(slot.files)) {
    text += fmt::format("             {:<14} {:>10}  {}\n", escape(file.name), with_commas(file.size),
                        date_text(file.modified));
  }
  text += more_text(slot.files.size());
  if (slot.full) {
    text += fmt::format("             {}\n",
                        paint(style, Tone::doubtful, "! full: the control may have run out of space"));
  }
  for (const media::Deleted& file : listed(slot.deleted)) {
    text += fmt::format("             {:<14} {:>10}  {}  deleted, {}\n", escape(file.name),
                        with_commas(file.size), date_text(file.modified),
                        file.recoverable ? "can be read with --recover" : "its clusters have been reused");
  }
  text += more_text(slot.deleted.size());
  for (const media::Flaw& flaw : listed(slot.flaws)) {
    text += fmt::format("             {} {}{}\n", mark, flaw.file.empty() ? "" : escape(flaw.file) + ": ",
                        flaw.what);
  }
  return text + more_text(slot.flaws.size());
}

Json date_json(const std::optional<std::int64_t>& modified) {
  return modified ? Json(format_time_rfc3339(*modified)) : Json(nullptr);
}

Json slot_json(const SlotFacts& facts) {
  const media::Slot& slot = facts.slot;
  Json json{{"slot", slot.number},     {"offset", slot.offset}, {"size", slot.size},
            {"free", slot.free_bytes}, {"full", slot.full},     {"label", escape(slot.label)},
            {"machine", facts.machine}};
  json["files"] = Json::array();
  for (const media::SlotFile& file : slot.files) {
    json["files"].push_back(
        {{"name", escape(file.name)}, {"size", file.size}, {"modified", date_json(file.modified)}});
  }
  json["deleted"] = Json::array();
  for (const media::Deleted& file : slot.deleted) {
    json["deleted"].push_back({{"name", escape(file.name)},
                               {"size", file.size},
                               {"modified", date_json(file.modified)},
                               {"recoverable", file.recoverable}});
  }
  json["flaws"] = Json::array();
  for (const media::Flaw& flaw : slot.flaws)
    json["flaws"].push_back({{"file", escape(flaw.file)}, {"what", flaw.what}});
  return json;
}

}  // namespace

Answer slots(const std::string& path, const std::vector<SlotFacts>& found, Style style) {
  std::string text =
      fmt::format("{}  {}\n\n", paint(style, Tone::strong, escape(path)),
                  found.empty() ? "no floppy-sized volume found" : count_of(found.size(), "slot", "slots"));
  for (const SlotFacts& each : found) text += slot_text(each, style);
  const std::string gaps = gaps_text(found, style);
  text += gaps;

  Json json = start("slots", nullptr);
  json["path"] = escape(path);
  json["slots"] = Json::array();
  for (const SlotFacts& each : found) json["slots"].push_back(slot_json(each));
  json["gaps"] = !gaps.empty();
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
