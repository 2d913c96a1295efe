// A recovered file's name: FAT's mark of deletion is in the place of its first letter.
#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "media/set.hpp"

namespace keepway::media {

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
    flaw.remedy = recovered_remedy;
  }
  std::sort(set.files.begin(), set.files.end(), [](const File& a, const File& b) { return a.name < b.name; });
}

}  // namespace keepway::media
