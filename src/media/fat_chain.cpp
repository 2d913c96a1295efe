#include "media/fat_chain.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace keepway::media {

Chains::Chains(const Geometry& geometry, const std::vector<std::string>& copies)
    : geometry_(geometry),
      owners_(geometry.clusters() + first_cluster, 0),
      visited_(owners_.size(), 0),
      steps_left_(std::uint64_t{16} * owners_.size()) {
  std::vector<std::string_view> order(copies.begin(), copies.end());
  std::stable_sort(order.begin(), order.end(), [&](std::string_view a, std::string_view b) {
    return fat_begins_right(geometry, a) && !fat_begins_right(geometry, b);
  });
  for (const std::string_view copy : order) {
    std::vector<std::uint16_t> fat = unpack_fat(geometry, copy);
    fat[0] = fat[1] = fat_end;  // media byte and marks, not clusters
    if (std::find(fats_.begin(), fats_.end(), fat) == fats_.end()) fats_.push_back(std::move(fat));
  }
}

Chain Chains::follow(const std::vector<std::uint16_t>& fat, std::uint16_t start, std::uint32_t most,
                     bool file) {
  Chain chain;
  ++walk_;
  std::uint16_t cluster = start;
  const auto tell = [&](const char* what) {
    chain.fault = chain.clusters.empty() ? fmt::format("its first cluster {} {}", cluster, what)
                                         : fmt::format("its cluster {} leads to {}, which {}",
                                                       chain.clusters.back(), cluster, what);
  };
  while (cluster != fat_end) {
    if (!geometry_.holds(cluster)) {
      tell(cluster == fat_free  ? "does not exist"
           : cluster == fat_bad ? "is marked bad"
                                : "is outside the volume");
      break;
    }
    if (visited_[cluster] == walk_) {
      tell("it had already: a loop");
      break;
    }
    if (chain.clusters.size() == most) {
      chain.fault = file ? "its clusters go on past its size" : "longer than any folder";
      break;
    }
    if (steps_left_ == 0) {
      chain.fault = "not followed: too many entries share their clusters";
      break;
    }
    --steps_left_;
    visited_[cluster] = walk_;
    const std::uint16_t next = fat[cluster];
    if (next == fat_free || next == fat_bad) {
      tell(next == fat_free ? "is marked free" : "is marked bad");
      // Its bytes may still be the file's: they are kept, under the flaw.
      chain.clusters.push_back(cluster);
      break;
    }
    chain.clusters.push_back(cluster);
    cluster = next;
  }
  if (chain.fault.empty() && file && chain.clusters.size() < most) {
    chain.fault = fmt::format("its size asks for {} clusters, it has {}", most, chain.clusters.size());
  }
  return chain;
}

Chain Chains::best(std::uint16_t start, std::uint32_t most, bool file) {
  Chain first = follow(fats_[0], start, most, file);
  for (std::size_t i = 1; i < fats_.size(); ++i) {
    Chain other = follow(fats_[i], start, most, file);
    if (!first.fault.empty() && other.fault.empty()) {
      other.fault = fmt::format("read by another FAT copy, because in the leading one {}", first.fault);
      return other;
    }
    if (first.fault.empty() && other.clusters != first.clusters)
      first.fault = "the FAT copies differ on its clusters";
  }
  return first;
}

Chain Chains::of_file(std::uint16_t start, std::uint32_t size) {
  if (size == 0) {
    return {{}, start == 0 ? "" : fmt::format("its size is 0, but it has a first cluster {}", start)};
  }
  const std::uint64_t most =
      (std::uint64_t{size} + geometry_.cluster_bytes() - 1) / geometry_.cluster_bytes();
  return best(start, static_cast<std::uint32_t>(most), true);
}

Chain Chains::of_folder(std::uint16_t start) {
  return best(
      start,
      static_cast<std::uint32_t>(std::max<std::size_t>(max_folder_bytes / geometry_.cluster_bytes(), 1)),
      false);
}

std::uint32_t Chains::claim(const Chain& chain, std::uint32_t owner) {
  std::uint32_t before = 0;
  for (const std::uint16_t cluster : chain.clusters) {
    if (owners_[cluster] != 0 && before == 0) before = owners_[cluster];
    if (owners_[cluster] == 0) owners_[cluster] = owner;
  }
  return before;
}

std::uint32_t Chains::free_clusters() const {
  return static_cast<std::uint32_t>(std::count(fats_[0].begin() + first_cluster, fats_[0].end(), fat_free));
}

std::uint32_t Chains::lost_clusters() const {
  std::uint32_t lost = 0;
  for (std::size_t i = first_cluster; i < owners_.size(); ++i) {
    if (owners_[i] == 0 && fats_[0][i] != fat_free && fats_[0][i] != fat_bad) ++lost;
  }
  return lost;
}

}  // namespace keepway::media
