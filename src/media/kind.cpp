#include "media/kind.hpp"

#include <sys/stat.h>

namespace keepway::media {

Contents contents_of(const FileDisk& disk, const OnProgress& on_progress) {
  std::string head;
  const auto size = static_cast<std::size_t>(std::min<std::uint64_t>(disk.size(), boot_bytes));
  if (!disk.read(0, size, head)) head.clear();
  const std::optional<Geometry> geometry = parse_boot_sector(head);
  const bool first = geometry && condition_at(disk, *geometry, 0) != VolumeCondition::none;
  Contents contents;
  if (!first && !disk.is_device()) contents.archive = archive_kind(head);
  if (!first && contents.archive == ArchiveKind::none) contents.other = other_volume(disk);
  if (contents.archive == ArchiveKind::none && !contents.other)
    contents.volumes = find_volumes(disk, on_progress);
  return contents;
}

Container container_kind_of(std::string_view bytes) {
  const MemoryDisk disk(bytes);
  const std::optional<Geometry> geometry = parse_boot_sector(bytes);
  if (geometry && condition_at(disk, *geometry, 0) != VolumeCondition::none) return Container::volumes;
  return archive_kind(bytes) == ArchiveKind::none ? Container::none : Container::archive;
}

Container container_kind(const std::filesystem::path& path) {
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0 || !S_ISREG(status.st_mode)) return Container::none;
  try {
    const Contents contents = contents_of(FileDisk(path, FileDisk::Use::read));
    if (contents.archive != ArchiveKind::none) return Container::archive;
    return contents.volumes.empty() ? Container::none : Container::volumes;
  } catch (const Error&) {
    return Container::none;  // the reader says why it cannot be opened
  }
}

}  // namespace keepway::media
