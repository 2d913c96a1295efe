#include <fmt/format.h>
#include <sys/stat.h>

#include <cerrno>

#include "media/folder.hpp"
#include "media/kind.hpp"
#include "media/set.hpp"
#include "media/slots.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

Set read_stick(const Disk& disk, const std::vector<Volume>& volumes, const ReadOptions& options,
               const std::filesystem::path& path) {
  const Volume& volume = pick(volumes, options.slot, path);
  Set set = read_volume(disk, volume, options.recover);
  const std::string shown = printable(path.native());
  set.source = volumes.size() == 1 ? fmt::format("floppy image {}", shown)
                                   : fmt::format("slot {} of stick {}", volume.number, shown);
  return set;
}

Set without_litter(Set set) {
  const auto left_out = [&](const std::string& name) {
    if (!is_litter(name)) return false;
    set.litter.push_back(name);
    return true;
  };
  std::erase_if(set.files, [&](const File& file) { return left_out(file.name); });
  std::erase_if(set.empty_folders, [&](const std::string& name) { return left_out(name); });
  std::erase_if(set.deleted, [](const Deleted& file) { return is_litter(file.name); });
  return set;
}

void check_unchanged(const FileDisk& disk, const std::filesystem::path& path) {
  if (!disk.changed()) return;
  throw Error(ErrorKind::input, "changed while it was being read",
              "wait until nothing writes to it any more, then try again", Place{printable(path.native())});
}

Set read_image_or_file(const std::filesystem::path& path, const ReadOptions& options) {
  const FileDisk disk(path, FileDisk::Use::read);
  const Contents contents = contents_of(disk, options.on_progress);
  if (contents.archive != ArchiveKind::none) {
    if (options.slot) {
      throw Error(ErrorKind::usage, "an archive has no slots", "leave out --slot",
                  Place{printable(path.native())});
    }
    const File file = read_file(path, path.filename().native(), true, max_file_bytes);
    Set set = read_archive(file.bytes, contents.archive, path.native(), options.on_progress);
    set.source = fmt::format("archive {}", printable(path.native()));
    set.archive = true;
    return without_litter(std::move(set));
  }
  if (contents.other) refuse_other_volume(*contents.other, path);
  const std::vector<Volume>& volumes = contents.volumes;
  if (!volumes.empty() || options.slot || disk.is_device()) {
    Set set = read_stick(disk, volumes, options, path);
    check_unchanged(disk, path);
    return without_litter(std::move(set));
  }
  Set set;
  set.files.push_back(read_file(path, path.filename().native(), true, max_file_bytes));
  set.source = fmt::format("file {}", printable(path.native()));
  return set;
}

Set read_whole(const std::filesystem::path& path, const ReadOptions& options) {
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0) {
    fail(ErrorKind::input, "cannot be read", errno, "check the path", path);
  }
  if (!S_ISDIR(status.st_mode)) return read_image_or_file(path, options);
  if (options.slot) {
    throw Error(ErrorKind::usage, "a folder has no slots", "leave out --slot",
                Place{printable(path.native())});
  }
  Set set = read_folder(path, options.on_progress);
  set.source = fmt::format("folder {}", printable(path.native()));
  return without_litter(std::move(set));
}

}  // namespace

Set read(const std::filesystem::path& path, const ReadOptions& options) {
  Set set = read_whole(path, options);
  leave_out_overlong(set);
  return set;
}

Set read_slot(const std::filesystem::path& path, const Slot& slot) {
  const FileDisk disk(path, FileDisk::Use::read);
  const std::optional<Volume> volume = survey(disk, slot.offset);
  return volume ? read_volume(disk, *volume, false) : Set{};
}

}  // namespace keepway::media
