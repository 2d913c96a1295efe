// Any bytes as the index of item changes: as they are, and with the sum put right, so that what lies behind
// it is read too. Nothing outside the bytes is looked at, and the sound chunks of a file do not overlap.
#include <libdeflate.h>
#include <unistd.h>

#include <cstring>
#include <filesystem>
#include <fstream>

#include "require.hpp"
#include "index/index_file.hpp"

namespace {

using namespace keepway::store;
using keepway::fuzz::require;

void read_all(const Chunk& chunk) {
  const keepway::store::CommitInfo info = chunk.info();
  require(info.id.size() == 40);
  for (const Change& change : chunk.changes()) {
    const auto found = chunk.find(change.name, name_hash(change.name));
    (void)found;
  }
  (void)chunk.find("no such row", 0);
}

// The bytes as a chunk whose size, magic and sum are right.
std::string sealed(std::string_view bytes) {
  std::string out(bytes);
  out.resize(std::max(out.size(), sizeof(ChunkHead)));
  out.resize((out.size() + 7) / 8 * 8, '\0');
  ChunkHead head;
  std::memcpy(&head, out.data(), sizeof head);
  head.magic = chunk_magic;
  head.size = static_cast<std::uint32_t>(out.size());
  head.changes &= 0xffU;
  head.info_size &= 0xfffU;
  std::memcpy(out.data(), &head, sizeof head);
  head.crc = libdeflate_crc32(0, out.data() + sizeof head.crc, out.size() - sizeof head.crc);
  std::memcpy(out.data(), &head.crc, sizeof head.crc);
  return out;
}

const std::filesystem::path& folder() {
  static const std::filesystem::path made = [] {
    std::string name = (std::filesystem::temp_directory_path() / "keepway-fuzz-XXXXXX").string();
    require(::mkdtemp(name.data()) != nullptr);
    std::filesystem::create_directory(std::filesystem::path(name) / "keepway");
    return std::filesystem::path(name);
  }();
  return made;
}

void as_file(const std::string& bytes) {
  std::ofstream(folder() / "keepway" / "index", std::ios::binary | std::ios::trunc) << bytes;
  IndexFile file(folder());
  file.load();
  std::size_t held = 0;
  for (std::size_t i = file.heads().size(); i-- > 0;) {
    const auto held_chunk = file.chunk(i);
    require(held_chunk.has_value());
    const Chunk& chunk = *held_chunk;
    held += chunk.bytes().size();
    require(file.may_hold(i, 0) || !chunk.find("no such row", 0));
    read_all(chunk);
  }
  require(held <= bytes.size());
  require(file.damaged() || held == bytes.size());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const std::string whole = sealed(bytes);
  const auto chunk = Chunk::read(whole);
  if (chunk) read_all(*chunk);
  // A file costs a hundred times what a chunk does: one input in sixteen.
  if (size % 16 == 0) as_file(std::string(bytes) + whole + whole + std::string(bytes));
  return 0;
}
