// Any bytes as a segment of the index of item changes: nothing outside them is looked at, and what is read of
// a segment is written and read again as the same.
#include "index/index_segment.hpp"
#include "require.hpp"

namespace {

using namespace keepway::store;
using keepway::fuzz::require;

void read_all(const Segment& segment) {
  const std::vector<std::vector<Change>> changes = segment.changes();
  require(changes.size() == segment.heads().size());
  std::vector<IndexedCommit> commits;
  for (std::size_t i = 0; i < changes.size(); ++i) {
    commits.push_back({segment.info(i), std::nullopt, {}});
    require(commits.back().info.id.size() == 40);
  }
  if (!changes.front().empty()) segment.find(changes.front().front().name, [](std::size_t, const auto&) {});
  segment.find("no such row", [](std::size_t, const auto&) {});
  const std::string written = write_segment(commits);
  const auto again = Segment::read(written);
  require(again && again->heads().size() == commits.size());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  if (const auto segment = Segment::read({reinterpret_cast<const char*>(data), size})) read_all(*segment);
  return 0;
}
