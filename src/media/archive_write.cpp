#include <archive.h>
#include <archive_entry.h>
#include <fmt/format.h>

#include <memory>

#include "base/parallel.hpp"
#include "media/archive.hpp"
#include "media/new_file.hpp"
#include "media/set.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

using Writer = std::unique_ptr<archive, decltype(&archive_write_free)>;
using Entry = std::unique_ptr<archive_entry, decltype(&archive_entry_free)>;

la_ssize_t append(archive* /*unused*/, void* to, const void* bytes, std::size_t size) {
  static_cast<std::string*>(to)->append(static_cast<const char*>(bytes), size);
  return static_cast<la_ssize_t>(size);
}

std::string make_zip(const Set& set, const OnProgress& on_progress) {
  std::string out;
  const Writer writer(archive_write_new(), archive_write_free);
  if (!writer) throw std::bad_alloc();
  const auto check = [&](la_ssize_t got) {
    if (got >= ARCHIVE_OK) return;
    const char* text = archive_error_string(writer.get());
    throw Error(ErrorKind::store,
                fmt::format("the archive cannot be made: {}", text == nullptr ? "no reason given" : text),
                "write a folder instead");
  };
  check(archive_write_set_format_zip(writer.get()));
  check(archive_write_set_bytes_in_last_block(writer.get(), 1));
  check(archive_write_open(writer.get(), &out, nullptr, append, nullptr));
  const auto put = [&](const std::string& name, std::string_view bytes, unsigned type,
                       std::optional<std::int64_t> modified) {
    const Entry entry(archive_entry_new(), archive_entry_free);
    if (!entry) throw std::bad_alloc();
    archive_entry_copy_pathname(entry.get(), name.c_str());
    archive_entry_set_filetype(entry.get(), type);
    archive_entry_set_perm(entry.get(), type == AE_IFDIR ? 0755 : 0644);
    archive_entry_set_size(entry.get(), static_cast<la_int64_t>(bytes.size()));
    if (modified) archive_entry_set_mtime(entry.get(), static_cast<time_t>(*modified), 0);
    check(archive_write_header(writer.get(), entry.get()));
    if (!bytes.empty()) check(archive_write_data(writer.get(), bytes.data(), bytes.size()));
    check(archive_write_finish_entry(writer.get()));
  };
  for (const std::string& folder : set.empty_folders) put(folder, {}, AE_IFDIR, std::nullopt);
  Count packed(on_progress, "files packed", set.files.size());
  for (const File& file : set.files) {
    put(file.name, file.bytes, AE_IFREG, file.modified);
    packed.one();
  }
  check(archive_write_close(writer.get()));
  // Without the flag a reader takes a name for one in code page 437 (PKWARE APPNOTE.TXT 6.3, appendix D).
  for (const std::size_t flags : utf8_name_flags(out))
    out[flags + 1] = static_cast<char>(static_cast<unsigned char>(out[flags + 1]) | (utf8_name_bit >> 8U));
  return out;
}

}  // namespace

void write_archive(const Set& set, const std::filesystem::path& path, const OnProgress& on_progress) {
  check_absent(path);
  check_names(set);
  Set sorted = set;
  sort_set(sorted);
  write_new_file(path, make_zip(sorted, on_progress), [&](std::string_view back) {
    check_same(sorted, read_archive(back, ArchiveKind::zip, path.native(), on_progress), path);
  });
}

}  // namespace keepway::media
