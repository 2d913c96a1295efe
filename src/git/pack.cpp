#include "git/pack.hpp"

#include <fmt/format.h>
#include <libdeflate.h>

#include <algorithm>
#include <array>
#include <memory>
#include <new>
#include <numeric>

#include "git/folder.hpp"
#include "git/git.hpp"
#include "git/pack_form.hpp"

namespace keepway::store {
namespace {

constexpr unsigned ofs_delta = 6;

std::string_view raw(const git_oid& id) {
  return {reinterpret_cast<const char*>(id.id), sizeof id.id};
}

std::string object_header(unsigned type, std::uint64_t size) {
  std::string out;
  auto byte = static_cast<std::uint8_t>((type << 4U) | (size & 15U));
  for (size >>= 4U; size != 0; size >>= 7U) {
    out += static_cast<char>(byte | 0x80U);
    byte = static_cast<std::uint8_t>(size & 0x7FU);
  }
  out += static_cast<char>(byte);
  return out;
}

// How far back a delta's base lies: seven bits a byte, the highest first, and one less for each byte before.
std::string distance_bytes(std::uint64_t distance) {
  std::string out(1, static_cast<char>(distance & 0x7FU));
  while ((distance >>= 7U) != 0) out += static_cast<char>(0x80U | (--distance & 0x7FU));
  std::reverse(out.begin(), out.end());
  return out;
}

struct FreeCompressor {
  void operator()(libdeflate_compressor* compressor) const { libdeflate_free_compressor(compressor); }
};
using Compressor = std::unique_ptr<libdeflate_compressor, FreeCompressor>;

std::string deflated(std::string_view content, Compression compression) {
  constexpr std::array<int, 3> levels = {0, 1, 9};
  thread_local std::array<Compressor, levels.size()> compressors;
  const auto hard = static_cast<std::size_t>(compression);
  Compressor& compressor = compressors[hard];
  if (!compressor) compressor.reset(libdeflate_alloc_compressor(levels[hard]));
  if (!compressor) throw std::bad_alloc();
  std::string out(libdeflate_zlib_compress_bound(compressor.get(), content.size()), '\0');
  const std::size_t size =
      libdeflate_zlib_compress(compressor.get(), content.data(), content.size(), out.data(), out.size());
  // The room that it might have taken is many times what it took; objects wait in thousands.
  return {out.data(), size};
}

}  // namespace

void put32(std::string& out, std::uint64_t value) {
  for (int shift = 24; shift >= 0; shift -= 8)
    out += static_cast<char>((value >> static_cast<unsigned>(shift)) & 0xFFU);
}

std::string pack_head(std::size_t count) {
  std::string head = "PACK";
  put32(head, 2);
  put32(head, count);
  return head;
}

PackedObject pack_object(const git_oid& id, git_object_t type, std::string_view content,
                         Compression compression) {
  return {id, type, content.size(), deflated(content, compression), {}};
}

PackedObject pack_delta(const git_oid& id, std::string_view delta, std::size_t base,
                        Compression compression) {
  // Compressing a short one quickly takes longer than reading it ever will, and saves a few bytes until the
  // next tidy.
  constexpr std::size_t short_one = 512;
  const bool as_it_is = compression == Compression::fast && delta.size() < short_one;
  return {id, GIT_OBJECT_INVALID, delta.size(), deflated(delta, as_it_is ? Compression::none : compression),
          base};
}

std::string index_bytes(std::vector<PackEntry> entries, std::string_view pack_checksum) {
  std::sort(entries.begin(), entries.end(),
            [](const PackEntry& a, const PackEntry& b) { return raw(a.id) < raw(b.id); });
  std::array<std::uint32_t, 256> fanout{};
  for (const PackEntry& entry : entries) ++fanout[entry.id.id[0]];
  std::partial_sum(fanout.begin(), fanout.end(), fanout.begin());

  std::string out = "\377tOc";
  put32(out, 2);
  for (const std::uint32_t count : fanout) put32(out, count);
  for (const PackEntry& entry : entries) out += raw(entry.id);
  for (const PackEntry& entry : entries) put32(out, entry.crc);
  std::string long_offsets;
  for (const PackEntry& entry : entries) {
    if (entry.offset < long_offset) {
      put32(out, entry.offset);
    } else {
      put32(out, long_offset | (long_offsets.size() / 8));
      put32(long_offsets, entry.offset >> 32U);
      put32(long_offsets, entry.offset);
    }
  }
  return out.append(long_offsets).append(pack_checksum);
}

std::filesystem::path name_pack(const std::filesystem::path& folder, SummedFile& pack, SummedFile& index,
                                std::string_view checksum, PackHold* hold) {
  std::string name = "pack-";
  for (const char c : checksum) name += fmt::format("{:02x}", static_cast<unsigned char>(c));
  if (hold != nullptr) *hold = PackHold(folder / name);
  // Git takes a pack up by its index: named last, it never shows half a pack.
  pack.name(folder / (name + ".pack"));
  index.name(folder / (name + ".idx"));
  sync_folder(folder);
  return folder / name;
}

PackWriter::PackWriter(std::filesystem::path folder, std::size_t count)
    : folder_(std::move(folder)), pack_(folder_, "pack") {
  const std::string head = pack_head(count);
  pack_.put(head);
  at_ = head.size();
  entries_.reserve(count);
}

void PackWriter::add(const PackedObject& object) {
  std::string head = object_header(object.base ? ofs_delta : static_cast<unsigned>(object.type), object.size);
  if (object.base) head += distance_bytes(at_ - entries_.at(*object.base).offset);
  std::uint32_t crc = libdeflate_crc32(0, head.data(), head.size());
  crc = libdeflate_crc32(crc, object.stream.data(), object.stream.size());
  pack_.put(head);
  pack_.put(object.stream);
  entries_.push_back({object.id, crc, at_});
  at_ += head.size() + object.stream.size();
}

PackFile PackWriter::finish(PackHold* hold) {
  const std::string checksum = pack_.finish();
  SummedFile index(folder_, "idx");
  index.put(index_bytes(std::move(entries_), checksum));
  index.finish();
  PackFile made;
  made.bytes = at_ + checksum.size();
  made.stem = name_pack(folder_, pack_, index, checksum, hold);
  return made;
}

PackFile write_pack(const std::filesystem::path& folder, const std::vector<PackedObject>& objects) {
  PackWriter writer(folder, objects.size());
  for (const PackedObject& object : objects) writer.add(object);
  return writer.finish();
}

}  // namespace keepway::store
