// The folder above the backups, taken for one of them.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "keepway/text.hpp"
#include "keepway/verdict.hpp"

namespace keepway {
namespace {

using Names = std::vector<std::string_view>;  // of files, below their folder

// Whether these files have one for each required source, of data, of the layout.
bool is_whole(const Layout& layout, const Names& names, const std::string& serial) {
  bool any = false;
  for (const Source& source : layout.sources) {
    if (!source.required || !source.data) continue;
    any = true;
    if (std::none_of(names.begin(), names.end(), [&](std::string_view name) {
          return match_name(source, name, serial) == NameMatch::yes;
        }))
      return false;
  }
  return any;
}

}  // namespace

std::vector<std::string> backups_within(const Layout& layout, const media::Set& set,
                                        const std::string& serial) {
  std::map<std::string_view, Names> folders;
  // A pattern with a folder in it is of files below the first one, else all are beside one another.
  const bool deep = has_folders(layout);
  for (const media::File& file : set.files) {
    const std::string_view name = file.name;
    const std::size_t slash = deep ? name.find('/') : name.rfind('/');
    if (slash != std::string_view::npos) folders[name.substr(0, slash)].push_back(name.substr(slash + 1));
  }
  std::vector<std::string> whole;
  for (const auto& [folder, names] : folders) {
    if (is_whole(layout, names, serial)) whole.emplace_back(folder);
  }
  if (whole.size() < 2) return {};
  std::sort(whole.begin(), whole.end(),
            [](const std::string& a, const std::string& b) { return natural_order(a, b) < 0; });
  return whole;
}

std::string look_like_backups(const std::vector<std::string>& folders) {
  constexpr std::size_t most = 3;
  std::string names;
  for (std::size_t i = 0; i < std::min(most, folders.size()); ++i)
    names += (i == 0 ? "" : ", ") + escape(folders[i]);
  return fmt::format("these look like {} backups, in {}{}", folders.size(), names,
                     folders.size() > most ? " and others" : "");
}

}  // namespace keepway
