#include "media/set.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "keepway/text.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {
constexpr std::size_t max_name_bytes = 4096;  // PATH_MAX of POSIX systems in use; state.hpp has the same
}

std::optional<std::int64_t> Set::newest() const {
  std::optional<std::int64_t> out;
  for (const File& file : files) {
    if (file.modified && (!out || *file.modified > *out)) out = file.modified;
  }
  return out;
}

std::string_view name_fault(std::string_view name) {
  if (name.empty()) return "an empty name";
  if (name.size() > max_name_bytes) return "a name of over 4096 bytes";
  if (name.front() == '/') return "an absolute name";
  if (name.find('\0') != std::string_view::npos) return "a name with a NUL byte";
  while (true) {
    const std::size_t slash = name.find('/');
    const std::string_view part = name.substr(0, slash);
    if (part.empty()) return "a name with an empty part";
    if (part == "." || part == "..") return "a name with the part . or ..";
    if (slash == std::string_view::npos) return {};
    name.remove_prefix(slash + 1);
  }
}

void check_name(std::string_view name) {
  const std::string_view fault = name_fault(name);
  if (fault.empty()) return;
  throw Error(ErrorKind::refused, fmt::format("{}, which could leave the folder it is put into", fault),
              "take the file off the medium and find out who made it", Place{printable(name.substr(0, 200))});
}

void check_names(const Set& set) {
  std::set<std::string_view> names;
  const auto refuse = [](std::string_view name, const char* what) {
    throw Error(ErrorKind::refused, what, "rename one of them", Place{printable(name)});
  };
  for (const File& file : set.files) {
    check_name(file.name);
    if (!names.insert(file.name).second) refuse(file.name, "two files with the same name");
  }
  const auto check_folders_of = [&](std::string_view name) {
    for (std::size_t slash = name.find('/'); slash != std::string_view::npos;
         slash = name.find('/', slash + 1)) {
      if (names.contains(name.substr(0, slash))) refuse(name.substr(0, slash), "both a file and a folder");
    }
  };
  for (const File& file : set.files) check_folders_of(file.name);
  for (const std::string& folder : set.empty_folders) {
    check_name(folder);
    if (names.contains(folder)) refuse(folder, "both a file and a folder");
    check_folders_of(folder);
  }
}

constexpr std::string_view too_long = "its name is longer than a disk can hold";

bool is_overlong(std::string_view name) {
  if (name.size() > max_name_bytes) return true;
  if (!name_fault(name).empty()) return false;  // worse than long
  try {
    (void)safe_path(name);
    return false;
  } catch (const Error&) {
    return true;
  }
}

Flaw overlong(std::string_view name) {
  return {"", fmt::format("the file '{}...' is not read: {}", printable(name.substr(0, 80)), too_long),
          "give it a shorter name on the medium, and take the backup in again"};
}

void leave_out_overlong(Set& set) {
  std::erase_if(set.files, [&](const File& file) {
    const bool long_name = is_overlong(file.name);
    if (long_name) set.flaws.push_back(overlong(file.name));
    return long_name;
  });
  std::erase_if(set.empty_folders, [](const std::string& name) { return is_overlong(name); });
  const auto left_out = std::find_if(set.flaws.begin(), set.flaws.end(),
                                     [](const Flaw& flaw) { return flaw.what.ends_with(too_long); });
  if (set.files.empty() && left_out != set.flaws.end())
    throw Error(ErrorKind::refused, "nothing else is there: " + left_out->what, left_out->remedy);
}

void sort_set(Set& set) {
  std::sort(set.files.begin(), set.files.end(), [](const File& a, const File& b) { return a.name < b.name; });
  std::vector<std::string>& folders = set.empty_folders;
  std::sort(folders.begin(), folders.end());
  folders.erase(std::unique(folders.begin(), folders.end()), folders.end());
  // What is in a folder has the folder's name and a slash at its front, and so comes right after it in
  // order.
  std::vector<std::string> empty;
  for (const std::string& folder : folders) {
    const std::string front = folder + '/';
    const auto file = std::lower_bound(set.files.begin(), set.files.end(), front,
                                       [](const File& a, const std::string& b) { return a.name < b; });
    const auto below = std::lower_bound(folders.begin(), folders.end(), front);
    if ((file == set.files.end() || !file->name.starts_with(front)) &&
        (below == folders.end() || !below->starts_with(front))) {
      empty.push_back(folder);
    }
  }
  folders = std::move(empty);
}

void Bounds::take_entry(std::string_view name, std::size_t depth) {
  if (depth > max_depth) {
    throw Error(ErrorKind::input, fmt::format("folders nested over {} deep", max_depth),
                "give only the folder of a backup", Place{printable(name)});
  }
  if (++entries_ > max_files) {
    throw Error(ErrorKind::input, fmt::format("more than {} files", max_files),
                "give only the folder of a backup", Place{printable(name)});
  }
}

std::uint64_t Bounds::room() const {
  return std::min(max_file_bytes, max_set_bytes - bytes_);
}

void Bounds::take_bytes(std::string_view name, std::uint64_t bytes) {
  if (bytes > room()) {
    throw Error(ErrorKind::input,
                fmt::format("over the limit of {} MiB a file or {} MiB in all", max_file_bytes >> 20,
                            max_set_bytes >> 20),
                "give only the files of a backup", Place{printable(name)});
  }
  bytes_ += bytes;
}

}  // namespace keepway::media
