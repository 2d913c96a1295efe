#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>

#include <algorithm>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "media/medium_use.hpp"
#include "media/other_volume.hpp"
#include "media/places.hpp"
#include "media/prepare.hpp"
#include "media/slots.hpp"

namespace keepway::media {
namespace {

[[noreturn]] void refuse_usage(const PrepareRequest& request, const std::string& what, std::string remedy) {
  throw Error(ErrorKind::usage, what, std::move(remedy), Place{printable(request.path.native())});
}

// What is on the medium now; takes what it is into the plan.
std::vector<Volume> look(PreparePlan& plan) {
  struct stat status {};
  if (::stat(plan.request.path.c_str(), &status) != 0) return {};
  plan.exists = true;
  const FileDisk disk(plan.request.path, FileDisk::Use::read);
  plan.device = disk.is_device();
  plan.bytes = disk.size();
  if (plan.device) {
    refuse_unfit_device(plan.request.path, fmt::format("{}:{}", major(status.st_rdev), minor(status.st_rdev)),
                        plan.bytes);
  } else {
    refuse_unfit_image(plan.request.path, plan.bytes);
  }
  std::vector<Volume> volumes = find_volumes(disk);
  if (volumes.empty()) plan.other = other_volume(disk).value_or("");
  return volumes;
}

// How far one slot lies from the next, as asked for or as the medium shows.
std::uint64_t spacing_of(const PrepareRequest& request, const Places& places, std::uint64_t volume_bytes) {
  std::uint64_t spacing = request.spacing;
  if (spacing == 0 && places.spacing != 0 && !places.guessed) spacing = places.spacing;
  if (spacing == 0 && request.count == 1 && request.first == 1) spacing = volume_bytes;
  if (spacing == 0) {
    refuse_usage(request, "how far the slots lie apart is not known, and the medium does not show it",
                 fmt::format("take it from the emulator's manual: --spacing BYTES ({} where one follows the "
                             "other without a gap)",
                             volume_bytes));
  }
  if (spacing % boot_bytes != 0 || spacing < volume_bytes) {
    refuse_usage(request, fmt::format("slots cannot lie {} bytes apart", spacing),
                 fmt::format("the distance is a multiple of {}, and {} at least", boot_bytes, volume_bytes));
  }
  if (spacing > max_scan_bytes) {
    refuse_usage(request, fmt::format("slots cannot lie {} bytes apart", spacing),
                 "only the first 4 GiB of a medium are read");
  }
  return spacing;
}

void refuse_no_room(const PreparePlan& plan, std::uint64_t base) {
  const std::uint64_t end = plan.places.back().offset + plan.volume_bytes;
  const std::uint64_t room = plan.exists ? std::min(plan.bytes, max_scan_bytes) : max_scan_bytes;
  if (end <= room) return;
  const std::uint64_t places =
      room < base + plan.volume_bytes ? 0 : (room - base - plan.volume_bytes) / plan.spacing + 1;
  refuse_usage(plan.request,
               fmt::format("slot {} would end at byte {}; there is room for {} such slots",
                           plan.places.back().number, end, places),
               "name fewer slots, or a larger medium (of which the first 4 GiB are used)");
}

// Shares the volumes that are there out into those that go and those that stay.
void sort_out(PreparePlan& plan, const std::vector<Volume>& old, std::vector<Volume>& staying) {
  const std::uint64_t begin = plan.places.front().offset;
  const std::uint64_t last = plan.places.back().offset;
  std::vector<Volume> going;
  for (const Volume& volume : old) {
    const bool between = volume.offset >= begin && volume.offset < last + plan.volume_bytes;
    if (between && (volume.offset - begin) % plan.spacing < plan.volume_bytes) {
      going.push_back(volume);
      continue;
    }
    // The first new volume behind its start, if any.
    const std::uint64_t next =
        volume.offset < begin ? begin : begin + ((volume.offset - begin) / plan.spacing + 1) * plan.spacing;
    if (next <= last && volume.offset + volume.geometry.bytes() > next) {
      throw Error(ErrorKind::refused,
                  fmt::format("the volume at byte {} (slot {}) reaches into a slot that would be prepared",
                              volume.offset, volume.number),
                  "prepare from the first slot on (--first 1), or with the distance that the medium has",
                  Place{printable(plan.request.path.native())});
    }
    staying.push_back(volume);
  }
  plan.replaced = describe(going);
  plan.left = describe(staying);
}

// find_slots must give the slots the numbers that were asked for.
void refuse_unknown_numbers(const PreparePlan& plan, const std::vector<Volume>& staying) {
  std::vector<Volume> after;
  for (const Volume& volume : staying) {
    after.emplace_back();
    after.back().geometry = volume.geometry;
    after.back().offset = volume.offset;
  }
  for (const PreparePlan::Place& place : plan.places) {
    after.emplace_back();
    after.back().geometry = geometry_of(plan.request.size);
    after.back().offset = place.offset;
  }
  std::sort(after.begin(), after.end(), [](const Volume& a, const Volume& b) { return a.offset < b.offset; });
  number_by_place(after);
  for (const PreparePlan::Place& place : plan.places) {
    const auto found = std::find_if(after.begin(), after.end(),
                                    [&](const Volume& volume) { return volume.offset == place.offset; });
    if (found->number == place.number) continue;
    const auto odd = std::find_if(staying.begin(), staying.end(), [&](const Volume& volume) {
      return (volume.offset - plan.places.front().offset) % plan.spacing != 0;
    });
    if (odd != staying.end()) {
      refuse_usage(
          plan.request,
          fmt::format("a volume at byte {} lies between the places of slots, and 'keepway slots' would "
                      "number them wrongly",
                      odd->offset),
          "use the distance that the medium has, or clear the medium first");
    }
    refuse_usage(
        plan.request,
        fmt::format("'keepway slots' would show slot {} as {}: the volumes on the medium would not show "
                    "how far slots lie apart",
                    place.number, found->number),
        "prepare three slots or more, from the first on (--first 1), with the distance that the medium "
        "has");
  }
}

}  // namespace

std::string volume_label(std::string_view text) {
  constexpr std::string_view also = " !#$%&'()-@^_`{}~";  // FAT-1.03, short names
  std::string label;
  for (const char c : text) {
    if (!is_letter(c) && !is_digit(c) && also.find(c) == std::string_view::npos) {
      throw Error(
          ErrorKind::usage,
          fmt::format("'{}' cannot be a label: it has a character that labels cannot have", printable(text)),
          "use letters without marks, digits, blanks, '-' and '_'");
    }
    label += upper(c);
  }
  if (label.size() > label_bytes || label.starts_with(' ') || label.ends_with(' ')) {
    throw Error(
        ErrorKind::usage,
        fmt::format("'{}' cannot be a label: labels have up to {} characters, and no blank at either end",
                    printable(text), label_bytes),
        "choose a shorter one with --label, or none with --label ''");
  }
  return label;
}

PreparePlan plan_prepare(const PrepareRequest& request) {
  std::vector<Volume> old;
  return plan_prepare(request, old);
}

PreparePlan plan_prepare(const PrepareRequest& request, std::vector<Volume>& old) {
  PreparePlan plan;
  plan.request = request;
  plan.volume_bytes = geometry_of(request.size).bytes();
  old = look(plan);
  const Places places = places_of(old);
  plan.spacing = spacing_of(request, places, plan.volume_bytes);
  const std::uint64_t base = places.spacing == plan.spacing ? places.first : 0;
  for (std::size_t i = 0; i < request.count; ++i) {
    const std::size_t number = request.first + i;
    plan.places.push_back({number, base + (number - 1) * plan.spacing,
                           i < request.labels.size() ? volume_label(request.labels[i]) : ""});
  }
  refuse_no_room(plan, base);
  if (!plan.exists) {
    const bool alone = request.count == 1 && request.first == 1;
    plan.bytes = alone ? plan.volume_bytes : plan.places.back().offset + plan.spacing;
  }
  std::vector<Volume> staying;
  sort_out(plan, old, staying);
  refuse_unknown_numbers(plan, staying);
  return plan;
}

}  // namespace keepway::media
