// A FAT volume surveyed: every folder walked, every chain followed, every fault found, no file read yet.
//
// Motivation: a list of a hundred slots needs names, dates and faults, but not the files; and following
// all chains before reading any shows which files share clusters. Work and memory are bounded by the size
// of the volume, whatever its bytes say.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/media.hpp"
#include "media/disk.hpp"
#include "media/fat_format.hpp"

namespace keepway::media {

struct VolumeFile {
  std::string name;  // path on the volume
  std::uint32_t size = 0;
  std::uint16_t start = 0;
  std::optional<std::int64_t> modified;
  std::vector<std::uint16_t>
      chain;             // clusters that hold it, in order; fewer than the size asks for if broken
  bool readable = true;  // deleted files: all clusters still free
};

struct Volume {
  Geometry geometry;
  std::uint64_t offset = 0;  // on the disk
  std::size_t number = 0;    // of its place there, from 1, see find_slots
  bool fat_right = false;    // one FAT copy at least begins as it must
  std::string label;
  std::optional<std::int64_t> label_time;
  std::vector<VolumeFile> files;    // sorted by name, names unique
  std::vector<VolumeFile> deleted;  // sorted by name, unique with those of `files`
  std::vector<std::string> empty_folders;
  std::vector<Flaw> flaws;
  std::uint32_t free_clusters = 0;
  bool root_full = false;

  [[nodiscard]] std::uint64_t free_bytes() const {
    return std::uint64_t{free_clusters} * geometry.cluster_bytes();
  }
  [[nodiscard]] bool full() const { return free_clusters == 0 || root_full; }
};

// Whether a volume of this geometry really begins at `offset`, at the cost of a few sectors: a FAT copy
// begins as one, or, where the FATs are lost, the root folder begins with entries that all make sense.
enum class VolumeCondition { none, damaged, sound };
VolumeCondition condition_at(const Disk& disk, const Geometry& geometry, std::uint64_t offset);

// All volumes on a disk, in order of place; see find_slots.
std::vector<Volume> find_volumes(const Disk& disk, const OnProgress& on_progress = {});

// Surveys the volume whose boot sector is at `offset`; nullopt when there is none, or when the medium ends
// before the volume's root folder does.
std::optional<Volume> survey(const Disk& disk, std::uint64_t offset);

// The volume's files as a set; with `recover`, deleted files too whose clusters are all free, read as one
// run from their first cluster. Clusters that cannot be read come as NUL bytes, with a flaw.
Set read_volume(const Disk& disk, const Volume& volume, bool recover);

}  // namespace keepway::media
