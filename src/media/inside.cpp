#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "media/set.hpp"

namespace keepway::media {

namespace {

constexpr const char* check_remedy = "check its text from end to end before any use";

}  // namespace

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

void name_recovered(Set& set, const std::string& from, const std::string& to) {
  const auto named = [&](const std::string& name) {
    return std::find_if(set.files.begin(), set.files.end(),
                        [&](const File& file) { return file.name == name; });
  };
  const auto found = named(from);
  if (found == set.files.end() || !found->recovered) {
    throw Error(ErrorKind::usage, fmt::format("no recovered file is called {}", printable(from)),
                "'keepway slots PATH' lists the deleted files with their names");
  }
  const std::size_t leaf = from.rfind('/') + 1;  // npos + 1 is 0
  const bool one_letter = from.size() == to.size() && from.substr(0, leaf) == to.substr(0, leaf) &&
                          leaf < to.size() && to[leaf] != '/' &&
                          lower(from.substr(leaf + 1)) == lower(to.substr(leaf + 1));
  if (!one_letter) {
    throw Error(ErrorKind::usage,
                fmt::format("{} was not called {}: only the first letter of its name is lost",
                            printable(from), printable(to)),
                "give the whole name with that letter, as --recovered-as _ANE.TXT=LANE.TXT");
  }
  if (to != from && named(to) != set.files.end()) {
    throw Error(ErrorKind::usage, fmt::format("there is a file {} already", printable(to)),
                "leave the recovered one under its name, or give it another first letter");
  }
  found->name = to;
  check_name(to);
  for (Flaw& flaw : set.flaws) {
    if (flaw.file != from) continue;
    flaw.file = to;
    flaw.remedy = check_remedy;
  }
  std::sort(set.files.begin(), set.files.end(), [](const File& a, const File& b) { return a.name < b.name; });
}

}  // namespace keepway::media
