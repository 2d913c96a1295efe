// Packs with any bytes in them, and their indexes. Source of the form: Git's gitformat-pack(5).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "run.hpp"

namespace scenario {

// With so many zeros behind the bytes, which are not held in memory.
std::string deflated(const std::string& bytes, std::size_t zeros = 0);
std::string id_of(const std::string& type, const std::string& bytes, std::size_t zeros = 0);
// The 20 bytes that 40 hex digits say.
std::string raw_of_id(const std::string& id);
// A size as a delta begins with: seven bits a byte, the lowest first.
std::string delta_size(std::uint64_t size);
// Written among the loose objects of a repository's folder; its id.
std::string loose_object(const fs::path& git_folder, const std::string& type, const std::string& bytes,
                         std::size_t zeros = 0);

// Ids are of 40 hex digits, and are believed.
class PackMaker {
 public:
  static constexpr std::size_t begin = 12;  // where the first entry is
  // An entry's first bytes; types 1 to 4 are commit, tree, blob and tag.
  static std::string head(unsigned type, std::uint64_t size);

  // Of all that put something in: where it is.
  std::size_t put(const std::string& id, const std::string& entry);
  std::size_t delta_by_id(const std::string& id, const std::string& base, const std::string& delta);
  std::size_t delta_by_distance(const std::string& id, std::size_t base, const std::string& delta);
  std::string whole(const std::string& type, const std::string& bytes);  // its id
  // Leaves it out of the index.
  void unlist(const std::string& id);
  void write(const fs::path& folder);

 private:
  struct Entry {
    std::string id;
    std::size_t at = 0;
    std::uint32_t crc = 0;
  };
  std::string bytes_ = std::string("PACK\0\0\0\2\0\0\0\0", begin);
  std::vector<Entry> entries_;
  std::uint32_t count_ = 0;
};

}  // namespace scenario
