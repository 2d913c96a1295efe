// A backup's files as they came: their sums, and how they lie in the repository's tree.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "keepway/media.hpp"
#include "keepway/sha256.hpp"

namespace keepway {

// SHA-256 of each file of a set, in its order, and one over names and bytes of all, whatever their order.
struct SetSums {
  std::vector<Sha256> files;
  std::string digest;
};
SetSums sums_of(const media::Set& set);
// sums_of() for one set after another: a file that is as it was is compared, which is sooner done. Holds
// copies of the last one's files, up to 64 MiB.
class SumMemory {
 public:
  SetSums sums_of(const media::Set& set);

 private:
  struct File {
    std::string bytes;
    Sha256 sum{};
  };
  std::unordered_map<std::string, File> files_;
};
std::string set_digest(const media::Set& set);  // sums_of(set).digest

// A set as `originals/…` of the tree and back: names made safe, clashes in letter case kept apart, empty
// folders kept.
struct OriginalFile {
  std::string path;
  std::string_view bytes;
  std::optional<Sha256> sum = std::nullopt;
};
// `sums`: of the set's files, in their order, or empty.
std::vector<OriginalFile> original_files(const media::Set& set, const std::vector<Sha256>& sums = {});
// The name as received for a path below originals/; nullopt for the mark of an empty folder, whose
// name is put into `empty_folder`.
std::optional<std::string> original_name(std::string_view path, std::string* empty_folder);

}  // namespace keepway
