// Preparing a medium: what goes and what comes, before it is done and after.
#include <fmt/format.h>

#include <algorithm>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {
namespace {

using media::PreparePlan;

// "slot 3" or "slots 3-12".
std::string range_text(std::size_t first, std::size_t last) {
  return first == last ? fmt::format("slot {}", first) : fmt::format("slots {}-{}", first, last);
}

std::string size_text(const PreparePlan& plan) {
  return plan.request.size == media::FloppySize::kb720 ? "720 kB" : "1.44 MB";
}

// "slots 1-10, each an empty 1.44 MB volume, 1,572,864 bytes apart"
std::string places_text(const PreparePlan& plan) {
  const bool one = plan.places.size() == 1;
  return fmt::format("{}, {}an empty {} volume{}",
                     range_text(plan.places.front().number, plan.places.back().number), one ? "" : "each ",
                     size_text(plan), one ? "" : fmt::format(", {} bytes apart", with_commas(plan.spacing)));
}

std::string content_text(const media::Slot& slot) {
  constexpr std::size_t most = 4;
  std::string text = count_of(slot.files.size(), "file", "files");
  if (!slot.label.empty()) text += ", label " + escape(slot.label);
  for (std::size_t i = 0; i < std::min(most, slot.files.size()); ++i)
    text += (i == 0 ? ": " : ", ") + escape(slot.files[i].name);
  if (slot.files.size() > most) text += fmt::format(" and {} more", slot.files.size() - most);
  return text;
}

bool is_bare(const media::Slot& slot) {
  return slot.files.empty() && slot.label.empty();
}

// Each slot that holds something is a line; runs of others are one.
std::string slots_text(const std::vector<media::Slot>& slots) {
  std::string text;
  for (std::size_t i = 0; i < slots.size();) {
    std::size_t last = i;
    while (is_bare(slots[i]) && last + 1 < slots.size() && is_bare(slots[last + 1]) &&
           slots[last + 1].number == slots[last].number + 1)
      ++last;
    text += fmt::format("    {}: {}\n", range_text(slots[i].number, slots[last].number),
                        is_bare(slots[i]) ? "no files" : content_text(slots[i]));
    i = last + 1;
  }
  return text;
}

std::string labels_text(const PreparePlan& plan) {
  std::string text;
  for (const PreparePlan::Place& place : plan.places) {
    if (!place.label.empty())
      text += fmt::format("    slot {}: label {}\n", place.number, escape(place.label));
  }
  return text;
}

}  // namespace

Answer prepare_plan(const PreparePlan& plan, Style style) {
  std::string text =
      fmt::format("{}  {} of {} bytes\n", paint(style, Tone::strong, escape(plan.request.path.string())),
                  plan.device ? "a block device" : "an image", with_commas(plan.bytes));
  if (!plan.other.empty()) {
    text += fmt::format("  {} it is a {} volume: all that a PC shows on it would be lost\n",
                        paint(style, Tone::doubtful, "!"), plan.other);
  }
  text +=
      plan.replaced.empty() ? "  no slot with a volume would be replaced\n" : "  these would be replaced:\n";
  text += slots_text(plan.replaced);
  if (!plan.left.empty()) text += "  these would stay:\n" + slots_text(plan.left);
  text += fmt::format("  new: {}\n", places_text(plan)) + labels_text(plan);
  return {text, ""};
}

Answer prepared(const PreparePlan& plan, const std::vector<std::string>& kept, Style style) {
  const std::string path = escape(plan.request.path.string());
  std::string text = fmt::format("{}  {}: {}; written and read back\n", paint(style, Tone::strong, path),
                                 plan.exists ? "prepared" : "made", places_text(plan)) +
                     labels_text(plan);
  for (const std::string& each : kept) text += fmt::format("  the old content is in {}\n", escape(each));
  text += fmt::format("  next: keepway slots {}\n", path);

  Json json = start("prepare", nullptr);
  json["path"] = path;
  json["made"] = !plan.exists;
  json["bytes"] = plan.bytes;
  json["spacing"] = plan.spacing;
  json["slots"] = Json::array();
  for (const PreparePlan::Place& place : plan.places) {
    json["slots"].push_back({{"slot", place.number},
                             {"offset", place.offset},
                             {"size", plan.volume_bytes},
                             {"label", escape(place.label)}});
  }
  json["replaced"] = Json::array();
  for (const media::Slot& slot : plan.replaced) {
    json["replaced"].push_back(
        {{"slot", slot.number}, {"files", slot.files.size()}, {"label", escape(slot.label)}});
  }
  json["kept"] = Json::array();
  for (const std::string& each : kept) json["kept"].push_back(escape(each));
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
