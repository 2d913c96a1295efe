// An archive with one folder around everything: what is in the folder is the backup.
#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "media/set.hpp"

namespace keepway::media {

std::string outer_folder(const Set& set) {
  if (!set.archive || set.files.empty()) return "";
  const std::string& first = set.files.front().name;
  const std::size_t slash = first.find('/');
  if (slash == std::string::npos) return "";
  const std::string inside = first.substr(0, slash + 1);
  const auto is_inside = [&](const std::string& name) { return name.starts_with(inside); };
  const bool all = std::all_of(set.files.begin(), set.files.end(),
                               [&](const File& file) { return is_inside(file.name); }) &&
                   std::all_of(set.empty_folders.begin(), set.empty_folders.end(), is_inside);
  return all ? first.substr(0, slash) : "";
}

void take_inside(Set& set) {
  const std::string folder = outer_folder(set);
  if (folder.empty()) return;
  const std::string prefix = folder + '/';
  const auto strip = [&](std::string& name) {
    if (name.starts_with(prefix)) name.erase(0, prefix.size());
  };
  for (File& file : set.files) strip(file.name);
  for (std::string& name : set.empty_folders) strip(name);
  for (Flaw& flaw : set.flaws) strip(flaw.file);
  set.source += fmt::format(", folder {}", printable(folder));
}

}  // namespace keepway::media
