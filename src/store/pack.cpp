#include "store/pack.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <libdeflate.h>
#include <openssl/evp.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <memory>
#include <new>
#include <numeric>

#include "store/disk.hpp"
#include "store/git.hpp"

namespace keepway::store {
namespace {

// The lowest level is the fastest; Git's own gc packs tighter when it sees fit.
constexpr int deflate_level = 1;
constexpr std::size_t checksum_size = 20;
constexpr std::uint64_t long_offset = 0x80000000U;

void put32(std::string& out, std::uint64_t value) {
  for (int shift = 24; shift >= 0; shift -= 8)
    out += static_cast<char>((value >> static_cast<unsigned>(shift)) & 0xFFU);
}

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

// A file under a passing name that ends with the SHA-1 of all before it. It goes unless it is given its name.
class SummedFile {
 public:
  SummedFile(const std::filesystem::path& folder, std::string_view kind)
      : path_((folder / fmt::format("tmp_{}_{}", kind, getpid())).string()), sum_(EVP_MD_CTX_new()) {
    ::unlink(path_.c_str());  // left by a process of the same number that was cut off
    file_ = Fd(::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0444));
    if (!file_) fail_disk(errno, "write " + path_);
    if (!sum_ || EVP_DigestInit_ex(sum_.get(), EVP_sha1(), nullptr) != 1) throw std::bad_alloc();
  }
  SummedFile(const SummedFile&) = delete;
  SummedFile& operator=(const SummedFile&) = delete;
  SummedFile(SummedFile&&) = delete;
  SummedFile& operator=(SummedFile&&) = delete;
  ~SummedFile() {
    if (!path_.empty()) ::unlink(path_.c_str());
  }

  void put(std::string_view bytes) {
    EVP_DigestUpdate(sum_.get(), bytes.data(), bytes.size());
    buffer_ += bytes;
    if (buffer_.size() >= buffer_limit) flush();
  }
  std::string finish() {
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    EVP_DigestFinal_ex(sum_.get(), digest.data(), nullptr);
    std::string checksum(reinterpret_cast<const char*>(digest.data()), checksum_size);
    buffer_ += checksum;
    flush();
    sync(file_.get(), path_);
    return checksum;
  }
  void name(const std::filesystem::path& final_path) {
    if (::rename(path_.c_str(), final_path.c_str()) != 0) fail_disk(errno, "write " + final_path.string());
    path_.clear();
  }

 private:
  static constexpr std::size_t buffer_limit = std::size_t{1} << 20U;
  void flush() {
    write_all(file_.get(), buffer_, path_);
    buffer_.clear();
  }
  struct FreeSum {
    void operator()(EVP_MD_CTX* sum) const { EVP_MD_CTX_free(sum); }
  };
  std::string path_;
  Fd file_;
  std::unique_ptr<EVP_MD_CTX, FreeSum> sum_;
  std::string buffer_;
};

}  // namespace

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

  std::string name = "pack-";
  for (const char c : checksum) name += fmt::format("{:02x}", static_cast<unsigned char>(c));
  // Git takes a pack up by its index: named last, it never shows half a pack.
  pack.name(folder / (name + ".pack"));
  index.name(folder / (name + ".idx"));
  sync_folder(folder);
}

}  // namespace keepway::store
