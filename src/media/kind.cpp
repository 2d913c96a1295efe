#include <sys/stat.h>

#include "media/archive.hpp"
#include "media/fat_volume.hpp"

namespace keepway::media {

Container container_kind(const std::filesystem::path& path) {
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0 || !S_ISREG(status.st_mode)) return Container::none;
  try {
    const FileDisk disk(path, FileDisk::Use::read);
    std::string head;
    if (!disk.read(0, static_cast<std::size_t>(std::min<std::uint64_t>(disk.size(), boot_bytes)), head))
      return Container::none;
    const std::optional<Geometry> geometry = parse_boot_sector(head);
    if (geometry && look_at(disk, *geometry, 0) != Looks::none) return Container::volumes;
    if (archive_kind(head) != ArchiveKind::none) return Container::archive;
    return find_volumes(disk).empty() ? Container::none : Container::volumes;
  } catch (const Error&) {
    return Container::none;  // whoever reads it is told why it cannot be opened
  }
}

}  // namespace keepway::media
