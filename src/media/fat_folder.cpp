#include "media/fat_folder.hpp"

#include "media/fat_format.hpp"
#include "media/fat_name.hpp"

namespace keepway::media {

namespace {

// The names of a folder's own entry and of the one above it (FAT-1.03, directory creation).
constexpr std::string_view dot_entry = ".          ";
constexpr std::string_view dot_dot = "..         ";

}  // namespace

FolderText parse_folder(std::string_view bytes, bool root) {
  FolderText out;
  LongName long_name;
  for (std::size_t at = 0; at + entry_bytes <= bytes.size(); at += entry_bytes) {
    const std::string_view raw = bytes.substr(at, entry_bytes);
    const std::string_view eleven = raw.substr(0, short_bytes);
    const auto first = static_cast<unsigned char>(raw[0]);
    const auto attributes = static_cast<unsigned char>(raw[at_attributes]);
    if (first == entry_free) {
      out.full = false;
      break;
    }
    const bool deleted = first == entry_deleted;
    if (deleted) out.full = false;
    if ((attributes & attribute_long_mask) == attribute_long) {
      long_name.take(raw, deleted);
      continue;
    }
    const auto modified = from_dos(get16(raw, at_date), get16(raw, at_time));
    if ((attributes & attribute_label) != 0) {
      long_name.drop();
      if (!root || deleted || !out.label.empty()) continue;
      out.label = eleven.substr(0, eleven.find_last_not_of(' ') + 1);
      out.label_time = modified;
      continue;
    }
    if (!root && at < 2 * entry_bytes && eleven == (at == 0 ? dot_entry : dot_dot)) {
      out.has_dots = true;
      continue;
    }
    FolderEntry entry;
    entry.deleted = deleted;
    entry.is_folder = (attributes & attribute_folder) != 0;
    entry.modified = modified;
    entry.start = get16(raw, at_start);
    entry.size = get32(raw, at_size);
    std::string shown(eleven);
    if (deleted) shown[0] = '_';
    entry.name = shown_name(shown, static_cast<unsigned char>(raw[at_lower]), entry.good_name);
    if (auto name = long_name.finish(eleven, deleted)) entry.name = std::move(*name);
    out.entries.push_back(std::move(entry));
  }
  return out;
}

}  // namespace keepway::media
