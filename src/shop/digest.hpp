// The digest of a backup's originals from the digests of its files, for one who has read them already.
#pragma once

#include <string>
#include <vector>

namespace keepway {

struct SummedFile {
  std::string name;  // as received
  std::string sha256;
};
// Equals set_digest() of the set that the files are.
std::string digest_of(const std::vector<SummedFile>& files, const std::vector<std::string>& empty_folders);

}  // namespace keepway
