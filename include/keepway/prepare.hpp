// Preparing a medium: empty floppy-sized volumes in slots of a stick or its image, or one alone.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/media.hpp"

namespace keepway::media {

enum class FloppySize { kb1440, kb720 };

struct PrepareRequest {
  std::filesystem::path path;  // a block device, an image, or an image that does not exist yet
  std::size_t count = 1;
  std::size_t first = 1;      // number of the first slot
  std::uint64_t spacing = 0;  // bytes from one slot to the next; 0: as the slots on the medium
  FloppySize size = FloppySize::kb1440;
  std::vector<std::string> labels =
      {};  // of the slots in their order, see volume_label(); the rest have none
};

// What would be done. Nothing is written by making it.
struct PreparePlan {
  struct Place {
    std::size_t number = 0;
    std::uint64_t offset = 0;
    std::string label;
  };
  PrepareRequest request;
  bool exists = false;
  bool device = false;
  std::uint64_t bytes = 0;  // of the medium
  std::uint64_t volume_bytes = 0;
  std::uint64_t spacing = 0;
  std::vector<Place> places;
  std::vector<Slot> replaced;  // volumes that go
  std::vector<Slot> left;      // volumes that stay
  std::string other;           // "FAT32" where the medium as a whole is such a volume, which is lost
};

// Checks a request against its medium. Error{refused} for a medium that is mounted or otherwise in use, that
// is read-only, a fixed disk, or larger than 64 GiB, which no stick for floppies has (our own bound), and
// where a volume that stays reaches into a new one; Error{usage} for slots that do not fit, whose distance is
// not known, or whose numbers find_slots could not tell afterwards; Error{input} when it cannot be read.
PreparePlan plan_prepare(const PrepareRequest& request);

// Writes an empty FAT12 volume to each place: boot sector, FATs and root folder; all else stays as it is. The
// order is such that a slot whose writing is broken off, at any sector, is listed with its old files or with
// none. Then reads all places back and compares. An image that does not exist appears whole. With
// `options.keep` each replaced volume that is not empty is stored first, as write_slot does; returns the
// paths of those files. Error{refused} when the medium is not as in the plan any more, and for a device
// without `options.device`; Error{store} when the medium fails, or does not hold what was written.
std::vector<std::filesystem::path> prepare(const PreparePlan& plan, const WriteOptions& options = {});

// A label as a volume holds it (ECMA-107: 11 characters, as in names, and blanks): small letters become
// capitals. Error{usage} for one that cannot be.
std::string volume_label(std::string_view text);

}  // namespace keepway::media
