// Where on a stick slots may be: at equal distances; some of them hold volumes.
#pragma once

#include <cstdint>
#include <vector>

#include "media/fat_volume.hpp"

namespace keepway::media {

struct Places {
  std::uint64_t first = 0;    // offset of place 1
  std::uint64_t spacing = 0;  // 0: not at equal distances, or one volume alone at the start
  bool guessed = false;       // other distances would do too
};
// `volumes` are in order of place. The distance is the greatest common divisor of their distances. Where that
// has room for several volumes, and they are not three or more neighbours, it is a guess: the smallest
// distance that is a part of it, has room for a volume and is a multiple of 32 KiB.
Places places_of(const std::vector<Volume>& volumes);

// Gives each volume the number of its place; where there are no places, in order.
void number_by_place(std::vector<Volume>& volumes);

}  // namespace keepway::media
