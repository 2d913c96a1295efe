#include <fmt/format.h>
#include <unistd.h>

#include "media/fat_volume.hpp"
#include "media/fat_write.hpp"
#include "media/new_file.hpp"

namespace keepway::media {

void write_image(const Set& set, const std::filesystem::path& path, const OnProgress& on_progress) {
  check_absent(path);
  const Set named = with_short_names(set);
  const std::string image = make_volume(floppy, {}, named);
  const auto check = [&](std::string_view back) {
    const MemoryDisk disk(back);
    const std::optional<Volume> volume = survey(disk, 0);
    check_same(named, volume ? read_volume(disk, *volume, false) : Set{}, path);
  };
  write_new_file(path, image, check, {}, on_progress);
}

std::vector<std::filesystem::path> write_images(const Set& set, const std::filesystem::path& path,
                                                const OnProgress& on_progress) {
  std::vector<std::filesystem::path> paths;
  const std::vector<Set> parts = plan_split(set);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    std::filesystem::path part = path.parent_path() / path.stem();
    part += fmt::format("-{}", i + 1);
    part += path.extension();
    check_absent(part);
    paths.push_back(std::move(part));
  }
  std::size_t written = 0;
  try {
    for (; written < parts.size(); ++written) {
      const auto of_this = [&](std::string_view what, std::uint64_t done, std::uint64_t of) {
        on_progress(fmt::format("image {} of {}, {}", written + 1, parts.size(), what), done, of);
      };
      write_image(parts[written], paths[written], on_progress ? OnProgress(of_this) : OnProgress());
    }
  } catch (...) {
    for (std::size_t i = 0; i < written; ++i) ::unlink(paths[i].c_str());
    throw;
  }
  return paths;
}

}  // namespace keepway::media
