// Making a whole FAT volume in memory, and counting beforehand what a set needs on one.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/media.hpp"
#include "media/fat_format.hpp"

namespace keepway::media {

// The set with its names as they will be on the volume (small letters made capitals), in order of name.
// Error{refused} that lists the names that cannot be, or that clash.
Set with_short_names(const Set& set);

// What a volume holds so far, counted in clusters and root entries.
class Fill {
 public:
  explicit Fill(std::uint32_t cluster_bytes) : cluster_bytes_(cluster_bytes) {}

  struct Need {
    std::uint64_t clusters = 0;
    std::size_t root_entries = 0;
  };
  // What a file of this size, or an empty folder, would need besides what is there; and adding it.
  [[nodiscard]] Need need(std::string_view name, std::uint64_t size, bool folder) const;
  void add(std::string_view name, std::uint64_t size, bool folder);
  [[nodiscard]] const Need& total() const { return total_; }

 private:
  [[nodiscard]] std::uint64_t clusters_for(std::uint64_t bytes) const {
    return (bytes + cluster_bytes_ - 1) / cluster_bytes_;
  }
  std::uint64_t cluster_bytes_;
  std::map<std::string, std::size_t, std::less<>> folders_;  // entries in each, with "." and ".."
  Need total_;
};

// What stays of a volume when its files are replaced.
struct Kept {
  std::string reserved;            // boot sector and what else is before the FATs; empty: made new
  std::vector<std::uint16_t> bad;  // clusters marked bad
  std::string label;
  std::optional<std::int64_t> label_time;
};

// A whole volume with the set's files, each in one piece. The geometry is one that parse_boot_sector gave, or
// floppy. The same set always gives the same bytes. Error{refused} when it does not fit, saying by how many
// bytes.
std::string make_volume(const Geometry& geometry, const Kept& kept, const Set& set);

// The first sector of a root folder whose files are being written: see unfinished_name.
std::string unfinished_root(const Kept& kept);

}  // namespace keepway::media
