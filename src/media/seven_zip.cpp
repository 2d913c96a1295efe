// What the head of a 7z archive claims, checked against the bounds before anything is unpacked.
//
// Motivation: libarchive takes memory for as many entries, streams and dictionaries as a head claims, and
// unpacks some streams whole, before the bounds on what comes out can stop it.
//
// Source of all numbers: the 7z format description that comes with the LZMA SDK (7zFormat.txt), called 7Z
// below; the names are its own.
#include <archive.h>
#include <archive_entry.h>
#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <tuple>
#include <vector>

#include "media/archive.hpp"
#include "media/fat_format.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

constexpr std::size_t signature_header_bytes = 32;
constexpr std::size_t at_next_offset = 12;
constexpr std::size_t at_next_size = 20;
enum Id : unsigned char {  // 7Z, property ids
  end = 0x00,
  header = 0x01,
  archive_properties = 0x02,
  main_streams = 0x04,
  files_info = 0x05,
  pack_info = 0x06,
  unpack_info = 0x07,
  sub_streams = 0x08,
  size_id = 0x09,
  crc = 0x0A,
  folder_id = 0x0B,
  coders_unpack_size = 0x0C,
  num_unpack_stream = 0x0D,
  encoded_header = 0x17,
};
constexpr std::size_t crc_bytes = 4;

constexpr std::string_view copy_coder{"\0", 1};
constexpr std::string_view lzma_coder = "\x03\x01\x01";
constexpr std::string_view lzma2_coder = "\x21";
constexpr std::string_view ppmd_coder = "\x03\x04\x01";
constexpr std::string_view aes_coder = "\x06\xF1\x07\x01";

// Our own bounds; the format has none.
constexpr std::uint64_t max_head_bytes = 32ULL << 20U;
constexpr std::uint64_t max_coders = 32;  // of one folder
constexpr std::uint64_t max_streams = 8;  // of one coder; the widest known has five

std::uint64_t get64(std::string_view bytes, std::size_t at) {
  return get32(bytes, at) | (std::uint64_t{get32(bytes, at + 4)} << 32U);
}

// Reads on, never past the end: what is not there makes no sense.
class Cursor {
 public:
  Cursor(std::string_view bytes, const std::string& name) : bytes_(bytes), name_(name) {}

  [[noreturn]] void refuse(const std::string& what) const {
    throw Error(ErrorKind::input, "the archive cannot be read: " + what,
                "make the archive again from the files of one backup only, as a zip if necessary",
                Place{name_});
  }

  std::string_view take(std::uint64_t count) {
    if (count > bytes_.size()) refuse("its header is cut off or malformed");
    const std::string_view out = bytes_.substr(0, static_cast<std::size_t>(count));
    bytes_.remove_prefix(out.size());
    return out;
  }
  unsigned char byte() { return static_cast<unsigned char>(take(1)[0]); }
  void expect(Id id) {
    if (byte() != id) refuse("its header is malformed");
  }
  bool accept(Id id) {
    if (bytes_.empty() || static_cast<unsigned char>(bytes_[0]) != id) return false;
    take(1);
    return true;
  }

  // 7Z, UINT64: as many bytes follow as the first has leading ones; its other bits come on top.
  std::uint64_t number() {
    const unsigned first = byte();
    std::uint64_t value = 0;
    unsigned mask = 0x80;
    for (unsigned shift = 0; shift < 64; shift += 8, mask >>= 1U) {
      if ((first & mask) == 0) return value | (std::uint64_t{first & (mask - 1)} << shift);
      value |= std::uint64_t{byte()} << shift;
    }
    return value;
  }

  // A number of things that libarchive takes memory for.
  std::uint64_t count(std::uint64_t most, const char* things) {
    const std::uint64_t value = number();
    if (value > most) refuse(fmt::format("it claims {} {}, over the limit of {}", value, things, most));
    return value;
  }

  // Digests of so many streams; says which are there.
  std::vector<bool> digests(std::uint64_t streams) {
    std::vector<bool> defined(static_cast<std::size_t>(streams), true);
    if (byte() == 0) {
      const std::string_view bits = take((streams + 7) / 8);
      for (std::size_t i = 0; i < defined.size(); ++i) {
        defined[i] = (static_cast<unsigned char>(bits[i / 8]) >> (7 - i % 8) & 1U) != 0;
      }
    }
    take(crc_bytes * static_cast<std::uint64_t>(std::count(defined.begin(), defined.end(), true)));
    return defined;
  }

 private:
  std::string_view bytes_;
  const std::string& name_;
};

struct PackedFolder {
  std::uint64_t outputs = 0;
  std::uint64_t streams = 1;
  bool digest = false;
  std::uint64_t unpacked = 0;  // the largest of its coders' outputs
  std::string_view coder;      // the first one
  std::string_view properties;
};

struct Streams {
  std::uint64_t pack_at = 0;
  std::vector<std::uint64_t> packed;
  std::vector<PackedFolder> folders;
};

void check_memory(const Cursor& cursor, std::string_view coder, std::string_view properties) {
  std::uint64_t memory = 0;
  if ((coder == lzma_coder || coder == ppmd_coder) && properties.size() >= 5) memory = get32(properties, 1);
  if (coder == lzma2_coder && !properties.empty()) {  // LZMA SDK, LZMA2 dictionary property
    const unsigned bits = static_cast<unsigned char>(properties[0]) & 0x3FU;
    memory = (2ULL | (bits & 1U)) << (bits / 2 + 11);
  }
  if (memory > max_set_bytes) {
    cursor.refuse(fmt::format("unpacking it would take {} MiB of memory, over the limit of {}", memory >> 20U,
                              max_set_bytes >> 20U));
  }
}

PackedFolder read_folder(Cursor& cursor) {
  PackedFolder folder;
  std::uint64_t inputs = 0;
  const std::uint64_t coders = cursor.count(max_coders, "coders");
  for (std::uint64_t i = 0; i < coders; ++i) {
    const unsigned flags = cursor.byte();
    const std::string_view id = cursor.take(flags & 0x0FU);
    const bool complex = (flags & 0x10U) != 0;
    inputs += complex ? cursor.count(max_streams, "streams") : 1;
    folder.outputs += complex ? cursor.count(max_streams, "streams") : 1;
    const std::string_view properties = (flags & 0x20U) != 0 ? cursor.take(cursor.number()) : "";
    check_memory(cursor, id, properties);
    if (i == 0) std::tie(folder.coder, folder.properties) = std::tie(id, properties);
    if (id == aes_coder) folder.coder = id;
  }
  if (folder.outputs == 0 || inputs + 1 < folder.outputs) cursor.refuse("its header is malformed");
  const std::uint64_t pairs = folder.outputs - 1;
  for (std::uint64_t i = 0; i < 2 * pairs; ++i) cursor.number();
  if (const std::uint64_t packed = inputs - pairs; packed > 1) {
    for (std::uint64_t i = 0; i < packed; ++i) cursor.number();
  }
  return folder;
}

void read_pack_info(Cursor& cursor, Streams& out) {
  out.pack_at = cursor.number();
  const std::uint64_t streams = cursor.count(max_files, "streams");
  if (cursor.accept(size_id)) {
    for (std::uint64_t i = 0; i < streams; ++i) out.packed.push_back(cursor.number());
  }
  if (cursor.accept(crc)) cursor.digests(streams);
  cursor.expect(end);
}

void read_unpack_info(Cursor& cursor, Streams& out) {
  cursor.expect(folder_id);
  const std::uint64_t folders = cursor.count(max_files, "folders");
  if (cursor.byte() != 0) cursor.refuse("its header is in an unsupported place");
  for (std::uint64_t i = 0; i < folders; ++i) out.folders.push_back(read_folder(cursor));
  cursor.expect(coders_unpack_size);
  for (PackedFolder& folder : out.folders) {
    for (std::uint64_t i = 0; i < folder.outputs; ++i) {
      folder.unpacked = std::max(folder.unpacked, cursor.number());
    }
  }
  if (cursor.accept(crc)) {
    const std::vector<bool> defined = cursor.digests(folders);
    for (std::size_t i = 0; i < defined.size(); ++i) out.folders[i].digest = defined[i];
  }
  cursor.expect(end);
}

void read_sub_streams(Cursor& cursor, Streams& out) {
  std::uint64_t total = out.folders.size();
  if (cursor.accept(num_unpack_stream)) {
    total = 0;
    for (PackedFolder& folder : out.folders) {
      folder.streams = cursor.count(max_files - total, "files");
      total += folder.streams;
    }
  }
  if (cursor.accept(size_id)) {
    for (const PackedFolder& folder : out.folders) {
      for (std::uint64_t i = 1; i < folder.streams; ++i) cursor.number();
    }
  }
  if (cursor.accept(crc)) {
    for (const PackedFolder& folder : out.folders) {
      if (folder.streams == 1 && folder.digest) --total;
    }
    cursor.digests(total);
  }
  cursor.expect(end);
}

Streams read_streams(Cursor& cursor) {
  Streams out;
  if (cursor.accept(pack_info)) read_pack_info(cursor, out);
  if (cursor.accept(unpack_info)) read_unpack_info(cursor, out);
  if (cursor.accept(sub_streams)) read_sub_streams(cursor, out);
  cursor.expect(end);
  return out;
}

// Unpacks a head: its stream is one of the format that libarchive calls lzma but for that format's own first
// 13 bytes: a byte of properties, the dictionary, the size (LZMA SDK, lzma.txt).
std::string unpack_head(const Cursor& cursor, std::string_view packed, char property, std::uint64_t size) {
  std::string alone(13, '\0');
  alone[0] = property;
  put32(alone, 1, static_cast<std::uint32_t>(max_head_bytes));
  put32(alone, 5, static_cast<std::uint32_t>(size));
  alone += packed;
  const std::unique_ptr<archive, decltype(&archive_read_free)> reader(archive_read_new(), archive_read_free);
  archive* from = reader.get();
  if (from == nullptr) throw std::bad_alloc();
  archive_entry* entry = nullptr;
  std::string out(static_cast<std::size_t>(size), '\0');
  if (archive_read_support_format_raw(from) != ARCHIVE_OK ||
      archive_read_append_filter(from, ARCHIVE_FILTER_LZMA) != ARCHIVE_OK ||
      archive_read_open_memory(from, alone.data(), alone.size()) != ARCHIVE_OK ||
      archive_read_next_header(from, &entry) != ARCHIVE_OK ||
      archive_read_data(from, out.data(), out.size()) != static_cast<la_ssize_t>(out.size())) {
    cursor.refuse("its header is damaged");
  }
  return out;
}

void check_head(Cursor cursor, std::uint64_t archive_bytes, const std::string& name) {
  cursor.expect(header);
  if (cursor.accept(archive_properties)) {
    while (!cursor.accept(end)) {
      cursor.byte();
      cursor.take(cursor.number());
    }
  }
  std::uint64_t total = 0;
  if (cursor.accept(main_streams)) {
    for (const PackedFolder& folder : read_streams(cursor).folders) {
      if (folder.unpacked > max_set_bytes - total) {
        cursor.refuse(fmt::format("it claims more than {} MiB of files", max_set_bytes >> 20U));
      }
      total += folder.unpacked;
    }
  }
  check_ratio(total, archive_bytes, name);
  if (cursor.accept(files_info)) cursor.count(max_files, "files");
}

}  // namespace

void check_seven_zip(std::string_view bytes, std::string_view archive_name) {
  const std::string name = printable(archive_name);
  Cursor whole(bytes, name);
  const std::string_view signature = whole.take(signature_header_bytes);
  const std::uint64_t size = get64(signature, at_next_size);
  if (size == 0) return;  // an archive of nothing
  const std::uint64_t head_at = get64(signature, at_next_offset);
  if (head_at > bytes.size() - signature_header_bytes ||
      size > bytes.size() - signature_header_bytes - head_at) {
    whole.refuse("it is cut off, or the first of several parts of one");
  }
  whole.take(head_at);
  Cursor cursor(whole.take(size), name);
  if (!cursor.accept(encoded_header)) return check_head(cursor, bytes.size(), name);

  const Streams head = read_streams(cursor);
  if (head.folders.size() != 1 || head.packed.empty()) cursor.refuse("its header is malformed");
  const PackedFolder& folder = head.folders[0];
  if (folder.coder == aes_coder) return;  // libarchive says that it is encrypted
  if (folder.unpacked > max_head_bytes) {
    cursor.refuse(
        fmt::format("its header claims {} bytes, over the limit of {}", folder.unpacked, max_head_bytes));
  }
  Cursor behind(bytes.substr(signature_header_bytes), name);
  behind.take(head.pack_at);
  const std::string_view packed = behind.take(head.packed[0]);
  if (folder.coder == copy_coder) return check_head(Cursor(packed, name), bytes.size(), name);
  if (folder.coder != lzma_coder || folder.properties.size() != 5) {
    cursor.refuse("its header is packed in an unsupported way");
  }
  const std::string plain = unpack_head(cursor, packed, folder.properties[0], folder.unpacked);
  check_head(Cursor(plain, name), bytes.size(), name);
}

}  // namespace keepway::media
