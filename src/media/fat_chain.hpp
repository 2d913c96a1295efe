// Following chains of clusters through the FAT copies.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "media/fat_format.hpp"

namespace keepway::media {

struct Chain {
  std::vector<std::uint16_t> clusters;
  std::string fault;  // empty: it ends where it should
};

class Chains {
 public:
  // `copies` are the FAT copies' bytes; the first that begins right leads.
  Chains(const Geometry& geometry, const std::vector<std::string>& copies);

  // The chain of a file of `size` bytes, or of a folder (no size), from the copy in which it is sound. A
  // fault is reported when it is sound in none, or not the same in all.
  Chain of_file(std::uint16_t start, std::uint32_t size);
  Chain of_folder(std::uint16_t start);

  // Marks the clusters as those of `owner` (not 0). The owner that had one of them before, or 0.
  std::uint32_t claim(const Chain& chain, std::uint32_t owner);
  [[nodiscard]] std::uint32_t owner(std::uint16_t cluster) const { return owners_[cluster]; }

  [[nodiscard]] std::uint32_t free_clusters() const;
  // Clusters in use that nobody has claimed.
  [[nodiscard]] std::uint32_t lost_clusters() const;
  [[nodiscard]] bool is_free(std::uint32_t cluster) const { return fats_[0][cluster] == fat_free; }
  [[nodiscard]] bool copies_differ() const { return fats_.size() > 1; }

 private:
  Chain best(std::uint16_t start, std::uint32_t most, bool file);
  Chain follow(const std::vector<std::uint16_t>& fat, std::uint16_t start, std::uint32_t most, bool file);

  const Geometry geometry_;
  std::vector<std::vector<std::uint16_t>> fats_;  // the leading one, then those that differ from it
  std::vector<std::uint32_t> owners_;
  std::vector<std::uint32_t> visited_;  // the walk that last came by
  std::uint32_t walk_ = 0;
  // Honest volumes follow each cluster once a copy. Hostile ones make every entry point at one long chain.
  std::uint64_t steps_left_;
};

}  // namespace keepway::media
