#include <archive.h>
#include <archive_entry.h>
#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <set>

#include "media/archive.hpp"
#include "media/set.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

// Our own bounds: a set that unpacks to more than this many times its archive, beyond 64 MiB, is a trap. Text
// off a control shrinks to a tenth, an empty volume's zeros to a thousandth.
constexpr std::uint64_t max_ratio = 400;
constexpr std::uint64_t ratio_free_bytes = 64ULL << 20U;

constexpr std::string_view not_read = "; what follows is not read";
constexpr const char* archive_remedy = "make the archive again from the files";

constexpr unsigned mebibyte_bits = 20;

constexpr std::size_t tar_block = 512;  // POSIX.1-2017, pax, ustar interchange format

// The checksum of a tar header (POSIX.1-2017, pax, ustar interchange format: chksum): the sum of its bytes,
// with blanks for the checksum's own eight.
bool is_tar_header(std::string_view head) {
  constexpr std::size_t at_sum = 148;
  constexpr std::size_t sum_bytes = 8;
  if (head.size() < tar_block || head[0] == '\0') return false;
  std::uint32_t sum = 0;
  for (std::size_t i = 0; i < tar_block; ++i) {
    const bool own = i >= at_sum && i < at_sum + sum_bytes;
    sum += own ? ' ' : static_cast<unsigned char>(head[i]);
  }
  std::uint32_t stated = 0;
  std::size_t i = at_sum;
  while (i < at_sum + sum_bytes && head[i] == ' ') ++i;
  const std::size_t digits = i;
  for (; i < at_sum + sum_bytes && head[i] >= '0' && head[i] <= '7'; ++i) {
    stated = stated * 8 + static_cast<std::uint32_t>(head[i] - '0');
  }
  return i > digits && stated == sum;
}

using Reader = std::unique_ptr<archive, decltype(&archive_read_free)>;

std::string reason_of(archive* reader) {
  const char* text = archive_error_string(reader);
  return text == nullptr ? "it does not read as one" : printable(text);
}

// The tar inside, and why what follows is not there, if anything is wrong.
struct Plain {
  std::string bytes;
  std::string flaw;
};
Plain uncompressed(std::string_view bytes, ArchiveKind kind, const std::string& name,
                   const OnProgress& on_progress) {
  // What a tar adds to the files that it holds: their heads and what fills their last blocks.
  constexpr std::uint64_t max_heads = 64ULL << 20U;
  const Reader reader(archive_read_new(), archive_read_free);
  archive* from = reader.get();
  if (from == nullptr) throw std::bad_alloc();
  archive_read_support_format_raw(from);
  if (kind == ArchiveKind::tar_gz) archive_read_support_filter_gzip(from);
  if (kind == ArchiveKind::tar_bz2) archive_read_support_filter_bzip2(from);
  if (kind == ArchiveKind::tar_xz) archive_read_support_filter_xz(from);
  Plain plain;
  archive_entry* entry = nullptr;
  if (archive_read_open_memory(from, bytes.data(), bytes.size()) != ARCHIVE_OK ||
      archive_read_next_header(from, &entry) != ARCHIVE_OK) {
    plain.flaw = reason_of(from);
    return plain;
  }
  while (true) {
    const void* data = nullptr;
    std::size_t size = 0;
    la_int64_t offset = 0;
    const int got = archive_read_data_block(from, &data, &size, &offset);
    if (got == ARCHIVE_EOF) return plain;
    if (got == ARCHIVE_RETRY) continue;
    if (got != ARCHIVE_OK) {
      plain.flaw = reason_of(from);
      return plain;
    }
    check_ratio(plain.bytes.size() + size, bytes.size(), name);
    if (plain.bytes.size() + size > max_set_bytes + max_heads) {
      throw Error(ErrorKind::input,
                  fmt::format("unpacks to more than {} MiB", (max_set_bytes + max_heads) >> 20U),
                  "give only the files of a backup", Place{name});
    }
    plain.bytes.append(static_cast<const char*>(data), size);
    if (on_progress) on_progress("MiB unpacked", plain.bytes.size() >> mebibyte_bits, 0);
  }
}

class Unpacking {
 public:
  Unpacking(std::string_view bytes, ArchiveKind kind, std::string_view name, const OnProgress& on_progress)
      : bytes_(bytes),
        name_(printable(name)),
        on_progress_(on_progress),
        reader_(archive_read_new(), archive_read_free) {
    archive* from = reader_.get();
    if (from == nullptr) throw std::bad_alloc();
    // Only what the first bytes say: libarchive's own guessing would take text for some of its formats.
    if (kind == ArchiveKind::zip) archive_read_support_format_zip(from);
    if (kind == ArchiveKind::seven_zip) archive_read_support_format_7zip(from);
    if (kind == ArchiveKind::tar) archive_read_support_format_tar(from);
    if (archive_read_open_memory(from, bytes.data(), bytes.size()) != ARCHIVE_OK) {
      broken(reason());
    }
  }

  Set run() {
    archive_entry* entry = nullptr;
    while (true) {
      const int got = archive_read_next_header(reader_.get(), &entry);
      if (got == ARCHIVE_EOF) break;
      if (got == ARCHIVE_RETRY || got == ARCHIVE_FAILED || got == ARCHIVE_FATAL) {
        refuse_encrypted(nullptr);
        if (set_.files.empty()) broken(reason());
        set_.flaws.push_back({"", "the archive is damaged: " + reason() + std::string(not_read), remedy});
        break;
      }
      refuse_encrypted(entry);
      if (!take(entry)) break;
    }
    // sort_set keeps those that are empty.
    set_.empty_folders.assign(folders_.begin(), folders_.end());
    sort_set(set_);
    try {
      check_names(set_);
    } catch (const Error& error) {
      throw Error(error.kind(), error.what(), error.remedy(), Place{name_ + ": " + error.place().file});
    }
    return std::move(set_);
  }

 private:
  static constexpr const char* remedy = archive_remedy;

  [[nodiscard]] std::string reason() const { return reason_of(reader_.get()); }

  [[noreturn]] void broken(const std::string& why) const {
    throw Error(ErrorKind::input, "the archive cannot be read: " + why, remedy, Place{name_});
  }

  void refuse_encrypted(archive_entry* entry) const {
    const bool this_one = entry != nullptr && archive_entry_is_encrypted(entry) != 0;
    if (!this_one && archive_read_has_encrypted_entries(reader_.get()) <= 0) return;
    throw Error(ErrorKind::input, "the archive is encrypted", "make it again without a password",
                Place{name_});
  }

  // The entry's name without "./" parts, and without the slash that ends a folder's.
  [[nodiscard]] std::string name_of(archive_entry* entry) const {
    const char* raw = archive_entry_pathname(entry);
    if (raw == nullptr) raw = archive_entry_pathname_utf8(entry);
    if (raw == nullptr) broken("a name in it cannot be read");
    std::string_view rest = raw;
    std::string out;
    if (rest.starts_with('/')) out = "/";  // for check_name to refuse
    while (!rest.empty()) {
      const std::size_t slash = std::min(rest.find('/'), rest.size());
      const std::string_view part = rest.substr(0, slash);
      if (!part.empty() && part != ".") {
        if (!out.empty() && out.back() != '/') out += '/';
        out += part;
      }
      rest.remove_prefix(std::min(slash + 1, rest.size()));
    }
    return out;
  }

  // False when nothing more can be read.
  bool take(archive_entry* entry) {
    std::string name = name_of(entry);
    const auto type = archive_entry_filetype(entry);
    if (name.empty() && type == AE_IFDIR) return true;  // "./" itself
    const std::string shown = name_ + ": " + printable(name.substr(0, 200));
    if (is_overlong(name)) {
      bounds_.take_entry(shown, 0);
      set_.flaws.push_back(overlong(name));
      return true;
    }
    if (const std::string_view fault = name_fault(name); !fault.empty()) {
      throw Error(ErrorKind::refused, fmt::format("{}, which could leave the folder it is put into", fault),
                  "do not use this archive, and find out who made it", Place{shown});
    }
    bounds_.take_entry(shown, static_cast<std::size_t>(std::count(name.begin(), name.end(), '/')));
    if (type == AE_IFDIR) {
      folders_.insert(std::move(name));
      return true;
    }
    if (type != AE_IFREG || archive_entry_hardlink(entry) != nullptr ||
        archive_entry_symlink(entry) != nullptr) {
      throw Error(ErrorKind::refused, "a link or a device in the archive, which no control writes",
                  "make the archive again from the files alone", Place{shown});
    }
    if (!names_.insert(name).second) {
      throw Error(ErrorKind::input, "two files with the same name in the archive", remedy, Place{shown});
    }
    File file{std::move(name), {}, std::nullopt};
    if (archive_entry_mtime_is_set(entry) != 0) file.modified = archive_entry_mtime(entry);
    const bool more = unpack(file, shown);
    if (const bool has_size = archive_entry_size_is_set(entry) != 0;
        more && has_size && archive_entry_size(entry) != static_cast<std::int64_t>(file.bytes.size())) {
      set_.flaws.push_back({file.name, "its size is not the one that the archive gives", remedy});
    }
    set_.files.push_back(std::move(file));
    if (on_progress_) on_progress_("files unpacked", set_.files.size(), 0);
    return more;
  }

  bool unpack(File& file, const std::string& shown) {
    while (true) {
      const void* block = nullptr;
      std::size_t size = 0;
      la_int64_t offset = 0;
      const int got = archive_read_data_block(reader_.get(), &block, &size, &offset);
      if (got == ARCHIVE_EOF) return true;
      if (got == ARCHIVE_RETRY) continue;
      if (got != ARCHIVE_OK) {
        refuse_encrypted(nullptr);
        const bool more = got != ARCHIVE_FATAL;
        set_.flaws.push_back(
            {file.name, "damaged in the archive: " + reason() + (more ? "" : std::string(not_read)), remedy});
        return more;
      }
      // A block may begin behind the last one's end: a hole, which reads as NUL bytes.
      const auto start = static_cast<std::uint64_t>(std::max<la_int64_t>(offset, 0));
      if (start < file.bytes.size()) broken("blocks out of order");
      const std::uint64_t grown = start + size - file.bytes.size();
      if (start > max_file_bytes || start + size > max_file_bytes)
        bounds_.take_bytes(shown, max_file_bytes + 1);
      bounds_.take_bytes(shown, grown);
      total_ += grown;
      // Of a large file; many small ones are counted as such.
      if (on_progress_ && (start + size) >> mebibyte_bits != 0)
        on_progress_("MiB unpacked", total_ >> mebibyte_bits, 0);
      check_ratio(total_, bytes_.size(), shown);
      file.bytes.resize(static_cast<std::size_t>(start));
      file.bytes.append(static_cast<const char*>(block), size);
    }
  }

  std::string_view bytes_;
  std::string name_;
  const OnProgress& on_progress_;
  Reader reader_;
  Bounds bounds_;
  std::uint64_t total_ = 0;
  std::set<std::string> names_;
  std::set<std::string> folders_;
  Set set_;
};

}  // namespace

ArchiveKind archive_kind(std::string_view head) {
  // PKWARE APPNOTE.TXT 6.3, local file header, or the end record of an empty archive; RFC 1952; 7z format
  // description.
  if (head.starts_with(std::string_view("PK\x03\x04", 4)) ||
      head.starts_with(std::string_view("PK\x05\x06", 4))) {
    return ArchiveKind::zip;
  }
  if (head.starts_with(std::string_view("PK\x07\x08PK", 6)))
    return ArchiveKind::zip;  // 8.5.4, the first part
  if (head.starts_with("\x1F\x8B\x08")) return ArchiveKind::tar_gz;
  // The bzip2 format has no standard; its first block's mark is that of the program's own manual, and
  // common practice. The xz file format 1.2.1, 2.1.1.1.
  if (head.starts_with("BZh") && head.size() > 9 && head[3] >= '1' && head[3] <= '9' &&
      (head.substr(4).starts_with("\x31\x41\x59\x26\x53\x59"))) {
    return ArchiveKind::tar_bz2;
  }
  if (head.starts_with(std::string_view("\xFD"
                                        "7zXZ\0",
                                        6))) {
    return ArchiveKind::tar_xz;
  }
  if (head.starts_with(std::string_view("7z\xBC\xAF\x27\x1C", 6))) return ArchiveKind::seven_zip;
  return is_tar_header(head) ? ArchiveKind::tar : ArchiveKind::none;
}

void check_ratio(std::uint64_t unpacked, std::uint64_t archive_bytes, const std::string& shown) {
  if (unpacked <= ratio_free_bytes || unpacked / max_ratio <= archive_bytes) return;
  throw Error(ErrorKind::input, fmt::format("unpacks to more than {} times its size", max_ratio),
              "do not use this archive, and find out who made it", Place{shown});
}

namespace {

// Unless it is said already that not all could be read.
void add_cut_off(Set& set, const std::string& what) {
  if (std::any_of(set.flaws.begin(), set.flaws.end(),
                  [](const Flaw& flaw) { return flaw.what.ends_with(not_read); })) {
    return;
  }
  set.flaws.push_back(
      {"", "the archive is cut off: " + what + " missing, and more files may be", archive_remedy});
}

Set read_zip(std::string_view bytes, std::string_view name, const OnProgress& on_progress) {
  const std::vector<std::size_t> flags = utf8_name_flags(bytes);
  const auto is_utf8 = [&](std::size_t at) {
    return (static_cast<unsigned char>(bytes[at + 1]) & (utf8_name_bit >> 8U)) != 0;
  };
  if (std::none_of(flags.begin(), flags.end(), is_utf8))
    return Unpacking(bytes, ArchiveKind::zip, name, on_progress).run();
  // libarchive would bring a name marked as UTF-8 into the locale's set, which has no such letters; without
  // the mark it gives the bytes as they are.
  std::string unmarked(bytes);
  for (const std::size_t at : flags)
    unmarked[at + 1] =
        static_cast<char>(static_cast<unsigned char>(unmarked[at + 1]) & ~(utf8_name_bit >> 8U));
  return Unpacking(unmarked, ArchiveKind::zip, name, on_progress).run();
}

}  // namespace

Set read_archive(std::string_view bytes, ArchiveKind kind, std::string_view name,
                 const OnProgress& on_progress) {
  if (kind == ArchiveKind::seven_zip) check_seven_zip(bytes, name);
  const std::string shown = printable(name);
  if ((kind == ArchiveKind::zip && is_zip_part(bytes)) || (kind == ArchiveKind::tar && is_tar_part(bytes))) {
    throw Error(ErrorKind::input, "is one of several parts of an archive",
                "put the parts together first, or give the files in a folder or in one archive",
                Place{shown});
  }
  if (kind == ArchiveKind::tar_gz || kind == ArchiveKind::tar_bz2 || kind == ArchiveKind::tar_xz) {
    const Plain plain = uncompressed(bytes, kind, shown, on_progress);
    if (plain.bytes.empty() && !plain.flaw.empty()) {
      throw Error(ErrorKind::input, "the archive cannot be read: " + plain.flaw, archive_remedy,
                  Place{shown});
    }
    Set set = read_archive(plain.bytes, ArchiveKind::tar, name, on_progress);
    if (!plain.flaw.empty()) {
      set.flaws.insert(set.flaws.begin(),
                       {"", "the archive is damaged: " + plain.flaw + std::string(not_read), archive_remedy});
    }
    return set;
  }
  if (kind == ArchiveKind::tar) {
    Set set = Unpacking(bytes, kind, name, on_progress).run();
    if (!has_tar_end(bytes)) add_cut_off(set, "the blocks at its end are");
    return set;
  }
  if (kind == ArchiveKind::zip) {
    Set set = read_zip(bytes, name, on_progress);
    if (!has_zip_directory(bytes)) add_cut_off(set, "its directory or a part of it is");
    return set;
  }
  return Unpacking(bytes, kind, name, on_progress).run();
}

}  // namespace keepway::media
