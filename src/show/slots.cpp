// What a stick holds, slot by slot.
#include <fmt/format.h>

#include <algorithm>
#include <span>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string_view holds_name(media::EmptyPlace::Holds holds) {
  switch (holds) {
    case media::EmptyPlace::Holds::nothing:
      return "blank";
    case media::EmptyPlace::Holds::data:
      return "data";
    case media::EmptyPlace::Holds::unreadable:
      return "unreadable";
  }
  return "";
}

// "slot 3" or "slots 5-41", and what is there.
std::string run_text(std::size_t first, std::size_t last, const std::string& what) {
  return first == last ? fmt::format("  slot {:<3} {}\n", first, what)
                       : fmt::format("  slots {}-{}  {}\n", first, last, what);
}

std::string empty_text(media::EmptyPlace::Holds holds, Style style) {
  const std::string mark = paint(style, Tone::doubtful, "!");
  switch (holds) {
    case media::EmptyPlace::Holds::nothing:
      return "not formatted, blank";
    case media::EmptyPlace::Holds::data:
      return mark + " no volume but data: not formatted, or its boot sector is damaged";
    case media::EmptyPlace::Holds::unreadable:
      return mark + " cannot be read";
  }
  return "";
}

bool is_plain_empty(const SlotFacts& facts) {
  const media::Slot& slot = facts.slot;
  return slot.files.empty() && slot.deleted.empty() && slot.flaws.empty() && slot.label.empty();
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
      !facts.machine.empty() ? fmt::format(", seems to be {}", paint(style, Tone::strong, facts.machine))
      : !facts.says.empty()  ? fmt::format(", of another machine: {}", facts.says)
                             : "");
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
  Json json{{"slot", slot.number},      {"offset", slot.offset}, {"size", slot.size},
            {"free", slot.free_bytes},  {"full", slot.full},     {"label", escape(slot.label)},
            {"machine", facts.machine}, {"says", facts.says}};
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

// All places in their order; neighbours that hold nothing, or the same, are one line.
std::string places_text(const std::vector<SlotFacts>& found, const std::vector<media::EmptyPlace>& empty,
                        Style style) {
  std::string text;
  std::size_t f = 0;
  std::size_t e = 0;
  while (f < found.size() || e < empty.size()) {
    if (e == empty.size() || (f < found.size() && found[f].slot.number < empty[e].number)) {
      std::size_t last = f;
      while (is_plain_empty(found[f]) && last + 1 < found.size() && is_plain_empty(found[last + 1]) &&
             found[last + 1].slot.number == found[last].slot.number + 1)
        ++last;
      text += last == f ? slot_text(found[f], style)
                        : run_text(found[f].slot.number, found[last].slot.number, "formatted, no files");
      f = last + 1;
      continue;
    }
    std::size_t last = e;
    while (last + 1 < empty.size() && empty[last + 1].holds == empty[e].holds &&
           empty[last + 1].number == empty[last].number + 1)
      ++last;
    text += run_text(empty[e].number, empty[last].number, empty_text(empty[e].holds, style));
    e = last + 1;
  }
  return text;
}

}  // namespace

Answer slots(const std::string& path, const std::vector<SlotFacts>& found, const media::Stick& stick,
             Style style) {
  std::string text = fmt::format(
      "{}  {}{}\n\n", paint(style, Tone::strong, escape(path)),
      found.empty() ? "no floppy-sized volume found" : count_of(found.size(), "slot", "slots"),
      stick.empty.empty()
          ? ""
          : fmt::format("; {} without a volume", count_of(stick.empty.size(), "place", "places")));
  text += places_text(found, stick.empty, style);
  if (stick.guessed) {
    text += fmt::format(
        "\n  {} too few places have a volume to know their distance: the emulator may show other numbers\n"
        "    than these\n",
        paint(style, Tone::doubtful, "!"));
  }

  Json json = start("slots", nullptr);
  json["path"] = escape(path);
  json["slots"] = Json::array();
  for (const SlotFacts& each : found) json["slots"].push_back(slot_json(each));
  json["without_volume"] = Json::array();
  for (const media::EmptyPlace& place : stick.empty) {
    json["without_volume"].push_back(
        {{"slot", place.number}, {"offset", place.offset}, {"holds", holds_name(place.holds)}});
  }
  json["gaps"] = !stick.empty.empty();
  json["numbers_guessed"] = stick.guessed;
  return {std::move(text), finish(json)};
}

Answer overwritten(const std::string& path, const media::Target& target, std::size_t slot,
                   const SlotOwner& holds) {
  std::string text = fmt::format("{} is {} of {} bytes", escape(path),
                                 target.device ? "a block device" : "an image", target.bytes);
  Json json = start("overwritten", nullptr);
  json["path"] = escape(path);
  json["device"] = target.device;
  json["bytes"] = target.bytes;
  json["slot"] = nullptr;
  for (const media::Slot& each : target.slots) {
    if (each.number != slot) continue;
    text += fmt::format("; slot {} holds {}{}, which would be overwritten:", slot,
                        count_of(each.files.size(), "file", "files"),
                        holds.machine.empty() ? "" : fmt::format(", probably of {}", holds.machine));
    for (const media::SlotFile& file : each.files)
      text += fmt::format("\n  {} {}", escape(file.name), file.size);
    json["slot"] = slot_json({each, holds.machine, holds.says});
  }
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
