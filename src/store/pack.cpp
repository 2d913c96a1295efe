#include "store/pack.hpp"

#include <fmt/format.h>
#include <libdeflate.h>

#include <algorithm>
#include <array>
#include <memory>
#include <new>
#include <numeric>

#include "store/disk.hpp"
#include "store/git.hpp"
#include "store/summed_file.hpp"

namespace keepway::store {
namespace {

// The lowest level is the fastest; Git's own gc packs tighter when it sees fit.
constexpr int deflate_level = 1;
constexpr std::uint64_t long_offset = 0x80000000U;

std::string_view raw(const git_oid& id) {
  return {reinterpret_cast<const char*>(id.id), sizeof id.id};
}

std::string object_header(git_object_t type, std::uint64_t size) {
  std::string out;
  auto byte = static_cast<std::uint8_t>((static_cast<unsigned>(type) << 4U) | (size & 15U));
  for (size >>= 4U; size != 0; size >>= 7U) {
    out += static_cast<char>(byte | 0x80U);
    byte = static_cast<std::uint8_t>(size & 0x7FU);
  }
  out += static_cast<char>(byte);
  return out;
}

}  // namespace

void put32(std::string& out, std::uint64_t value) {
  for (int shift = 24; shift >= 0; shift -= 8)
    out += static_cast<char>((value >> static_cast<unsigned>(shift)) & 0xFFU);
}

PackedObject pack_object(const git_oid& id, git_object_t type, std::string_view content) {
  struct FreeCompressor {
    void operator()(libdeflate_compressor* compressor) const { libdeflate_free_compressor(compressor); }
  };
  thread_local const std::unique_ptr<libdeflate_compressor, FreeCompressor> compressor(
      libdeflate_alloc_compressor(deflate_level));
  if (!compressor) throw std::bad_alloc();
  PackedObject object;
  object.id = id;
  const std::string header = object_header(type, content.size());
  std::string room = header;
  room.resize(header.size() + libdeflate_zlib_compress_bound(compressor.get(), content.size()));
  const std::size_t size = libdeflate_zlib_compress(compressor.get(), content.data(), content.size(),
                                                    room.data() + header.size(), room.size() - header.size());
  object.bytes.assign(room, 0, header.size() + size);
  object.crc = libdeflate_crc32(0, object.bytes.data(), object.bytes.size());
  return object;
}

std::string index_bytes(const std::vector<PackedObject>& objects, const std::vector<std::uint64_t>& offsets,
                        std::string_view pack_checksum) {
  std::vector<std::size_t> order(objects.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return raw(objects[a].id) < raw(objects[b].id); });
  std::array<std::uint32_t, 256> fanout{};
  for (const PackedObject& object : objects) ++fanout[object.id.id[0]];
  std::partial_sum(fanout.begin(), fanout.end(), fanout.begin());

  std::string out = "\377tOc";
  put32(out, 2);
  for (const std::uint32_t count : fanout) put32(out, count);
  for (const std::size_t i : order) out += raw(objects[i].id);
  for (const std::size_t i : order) put32(out, objects[i].crc);
  std::string long_offsets;
  for (const std::size_t i : order) {
    if (offsets[i] < long_offset) {
      put32(out, offsets[i]);
    } else {
      put32(out, long_offset | (long_offsets.size() / 8));
      put32(long_offsets, offsets[i] >> 32U);
      put32(long_offsets, offsets[i]);
    }
  }
  return out.append(long_offsets).append(pack_checksum);
}

void name_pack(const std::filesystem::path& folder, SummedFile& pack, SummedFile& index,
               std::string_view checksum) {
  std::string name = "pack-";
  for (const char c : checksum) name += fmt::format("{:02x}", static_cast<unsigned char>(c));
  // Git takes a pack up by its index: named last, it never shows half a pack.
  pack.name(folder / (name + ".pack"));
  index.name(folder / (name + ".idx"));
  sync_folder(folder);
}

void write_pack(const std::filesystem::path& folder, const std::vector<PackedObject>& objects) {
  SummedFile pack(folder, "pack");
  std::string header = "PACK";
  put32(header, 2);
  put32(header, objects.size());
  pack.put(header);
  std::vector<std::uint64_t> offsets;
  offsets.reserve(objects.size());
  std::uint64_t at = header.size();
  for (const PackedObject& object : objects) {
    offsets.push_back(at);
    pack.put(object.bytes);
    at += object.bytes.size();
  }
  const std::string checksum = pack.finish();
  SummedFile index(folder, "idx");
  index.put(index_bytes(objects, offsets, checksum));
  index.finish();

  name_pack(folder, pack, index, checksum);
}

}  // namespace keepway::store
