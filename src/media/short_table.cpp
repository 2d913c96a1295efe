// Names for a floppy, for those that it cannot hold: a table, which a person is shown.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "keepway/text.hpp"
#include "media/fat_name.hpp"
#include "media/set.hpp"

namespace keepway::media {
namespace {

constexpr std::size_t extension_bytes = short_bytes - base_bytes;

// Capitals and '_' for each byte that a name cannot have; of UTF-8 one for each letter.
std::string plain(std::string_view text, std::size_t most) {
  std::string out;
  for (const char c : text) {
    const bool continues = (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
    if (continues) continue;
    const std::string one(1, c);
    out += c != '.' && short_name(one) ? upper(one) : "_";
  }
  return out.substr(0, most);
}

class Table {
 public:
  // The names of a folder's parts that fit are given out first, so that they keep them.
  void add(const std::string& name, bool fitting) {
    std::string above;
    std::string above_short;
    for (std::size_t begin = 0; begin <= name.size();) {
      const std::size_t end = std::min(name.find('/', begin), name.size());
      const std::string part = name.substr(begin, end - begin);
      const std::string path = above + part;
      auto given = given_.find(path);
      if (given == given_.end()) {
        const bool fits = short_name(part).has_value();
        if (fitting && (!fits || !taken_.insert(above_short + upper(part)).second)) return;
        given =
            given_.emplace(path, above_short + (fitting ? upper(part) : made_for(part, above_short))).first;
      }
      above = path + '/';
      above_short = given->second + '/';
      begin = end + 1;
    }
  }
  [[nodiscard]] const std::string& of(const std::string& name) const { return given_.at(name); }

 private:
  std::string made_for(const std::string& part, const std::string& above) {
    const std::size_t point = part.rfind('.');
    const bool has_extension = point != std::string::npos && point > 0 && point + 1 < part.size();
    std::string base = plain(has_extension ? std::string_view(part).substr(0, point) : part, base_bytes);
    if (base.empty()) base = "FILE";
    const std::string extension =
        has_extension ? "." + plain(std::string_view(part).substr(point + 1), extension_bytes) : "";
    std::string name = base + extension;
    for (std::size_t n = 1; !short_name(name) || !taken_.insert(above + name).second; ++n) {
      const std::string number = std::to_string(n);
      name = base.substr(0, base_bytes - std::min(base_bytes, number.size()));
      name.append(number).append(extension);
    }
    return name;
  }

  std::map<std::string, std::string> given_;
  std::set<std::string> taken_;
};

}  // namespace

std::vector<ShortName> shorten_names(Set& set) {
  Table table;
  for (const bool fitting : {true, false}) {
    for (const File& file : set.files) table.add(file.name, fitting);
    for (const std::string& folder : set.empty_folders) table.add(folder, fitting);
  }
  std::vector<ShortName> changed;
  const auto rename = [&](std::string& name) {
    const std::string& made = table.of(name);
    if (made != upper(name)) changed.push_back({name, made});
    name = made;
  };
  for (File& file : set.files) rename(file.name);
  for (std::string& folder : set.empty_folders) rename(folder);
  sort_set(set);
  return changed;
}

}  // namespace keepway::media
