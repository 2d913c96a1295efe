#include "git/path.hpp"

#include <fmt/format.h>
#include <git2/sys/path.h>

#include <string>

#include "git/attributes.hpp"
#include "git/git.hpp"

namespace keepway::store {
namespace {

constexpr std::size_t max_path = 4096;
constexpr std::size_t max_path_depth = 128;
constexpr std::size_t max_part = 255;  // of most disks

// HFS+ passes over these code points in names (listed in Git's utf8.c, next_hfs_char):
// U+200C..200F, U+202A..202E, U+206A..206F, U+FEFF, as UTF-8.
bool hfs_ignores(std::string_view three) {
  if (three == "\xEF\xBB\xBF") return true;
  if (three.size() != 3 || three[0] != '\xE2') return false;
  const auto last = static_cast<unsigned char>(three[2]);
  if (three[1] == '\x80') return (last >= 0x8C && last <= 0x8F) || (last >= 0xAA && last <= 0xAE);
  return three[1] == '\x81' && last >= 0xAA && last <= 0xAF;
}

// What is left of a name when case, HFS+'s ignored characters, and all that NTFS drops (a stream's
// name behind ':', final dots and spaces) are taken away.
std::string bare_name(std::string_view part) {
  std::string name;
  for (std::size_t i = 0; i < part.size(); ++i) {
    if (hfs_ignores(part.substr(i, 3))) {
      i += 2;
      continue;
    }
    if (part[i] == ':') break;
    const bool upper = part[i] >= 'A' && part[i] <= 'Z';
    name += upper ? static_cast<char>(part[i] - 'A' + 'a') : part[i];
  }
  while (!name.empty() && (name.back() == '.' || name.back() == ' ')) name.pop_back();
  return name;
}

}  // namespace

const char* part_fault(std::string_view part, bool at_root) {
  if (part.empty()) return "it has an empty part";
  if (part.size() > max_part) return "it has a part of over 255 bytes";
  if (part == "." || part == "..") return "it could lead out of its folder";
  // A backslash parts folders on NTFS, so each side of it is a name there.
  for (std::size_t begin = 0; begin <= part.size();) {
    const std::size_t end = std::min(part.find('\\', begin), part.size());
    const std::string side(
        part.substr(begin, end - begin));  // libgit2 reads on to a NUL, whatever size it is given
    const std::string name = bare_name(side);
    const auto is_file = [&](git_path_gitfile file) {
      return git_path_is_gitfile(side.data(), side.size(), file, GIT_PATH_FS_GENERIC) > 0;
    };
    if (name == ".git" || name == "git~1") return "`.git` is Git's own";
    if (side == "..") return "it could lead out of its folder";
    if (is_file(GIT_PATH_GITFILE_GITMODULES)) return "`.gitmodules` is Git's own";
    if (is_file(GIT_PATH_GITFILE_GITATTRIBUTES) && !(at_root && part == attributes_path))
      return "`.gitattributes` would change how Git treats files";
    begin = end + 1;
  }
  return nullptr;
}

const char* path_fault(std::string_view path) {
  const char* fault = nullptr;
  if (path.empty()) fault = "it is empty";
  if (path.size() > max_path) fault = "it is longer than 4096 bytes";
  if (path.find('\0') != std::string_view::npos) fault = "it holds a NUL byte";
  if (path.starts_with('/')) fault = "it is absolute";
  std::size_t depth = 0;
  for (std::size_t begin = 0; fault == nullptr && begin <= path.size();) {
    const std::size_t end = std::min(path.find('/', begin), path.size());
    fault = ++depth > max_path_depth
                ? "it is more than 128 folders deep"
                : part_fault(path.substr(begin, end - begin), begin == 0 && end == path.size());
    begin = end + 1;
  }
  return fault;
}

void require_clean_path(std::string_view path) {
  if (const char* fault = path_fault(path)) {
    throw Error(ErrorKind::refused,
                fmt::format("'{}' cannot be stored: {}", printable(path.substr(0, 200)), fault),
                "rename the file");
  }
}

std::string_view clean_prefix(std::string_view prefix) {
  if (prefix.ends_with('/')) prefix.remove_suffix(1);
  if (!prefix.empty()) require_clean_path(prefix);
  return prefix;
}

bool lies_in(std::string_view path, std::string_view folder) {
  if (folder.empty()) return true;
  return path.starts_with(folder) && (path.size() == folder.size() || path[folder.size()] == '/');
}

}  // namespace keepway::store
