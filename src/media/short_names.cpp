// Names as a floppy holds them: capitals, 8 and 3 of them. What does not fit is refused, never shortened.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "keepway/text.hpp"
#include "media/fat_name.hpp"
#include "media/fat_write.hpp"
#include "media/set.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

constexpr std::size_t dots = 2;  // "." and ".." of every folder but the root (FAT-1.03)

std::string_view parent_of(std::string_view name) {
  const std::size_t slash = name.rfind('/');
  return slash == std::string_view::npos ? std::string_view() : name.substr(0, slash);
}

bool all_short(std::string_view name) {
  while (true) {
    const std::size_t slash = name.find('/');
    if (!short_name(name.substr(0, slash))) return false;
    if (slash == std::string_view::npos) return true;
    name.remove_prefix(slash + 1);
  }
}

[[noreturn]] void refuse_names(const char* what, const std::vector<std::string>& names) {
  constexpr std::size_t most = 20;
  std::string list;
  for (std::size_t i = 0; i < std::min(names.size(), most); ++i) {
    list.append(i == 0 ? "" : ", ").append(printable(names[i].substr(0, 200)));
  }
  if (names.size() > most) list += fmt::format(" and {} more", names.size() - most);
  throw Error(
      ErrorKind::refused, fmt::format("{}: {}", what, list),
      "add --short-names to have them shortened by a table that is shown, or write a folder or a zip");
}

}  // namespace

Set with_short_names(const Set& set) {
  check_names(set);
  Set out = set;
  std::vector<std::string> faulty;
  std::vector<std::string> clashing;
  std::set<std::string> seen;
  for (File& file : out.files) {
    if (!all_short(file.name)) faulty.push_back(file.name);
    std::string name = upper(file.name);
    if (!seen.insert(name).second) clashing.push_back(file.name);
    file.name = std::move(name);
  }
  for (std::string& folder : out.empty_folders) {
    if (!all_short(folder)) faulty.push_back(folder);
    folder = upper(folder);
    if (seen.contains(folder)) clashing.push_back(folder);
  }
  if (!faulty.empty()) refuse_names("names that a floppy cannot hold", faulty);
  if (!clashing.empty()) refuse_names("names that differ only in small and capital letters", clashing);
  sort_set(out);
  // A folder and a file may now have one name.
  try {
    check_names(out);
  } catch (const Error& error) {
    refuse_names("names that differ only in small and capital letters", {error.place().file});
  }
  return out;
}

Fill::Need Fill::need(std::string_view name, std::uint64_t size, bool folder) const {
  Need out;
  out.clusters = clusters_for(size);
  if (folder) {
    if (folders_.contains(name)) return {};
    out.clusters = 1;
  }
  std::string_view above = parent_of(name);
  // A new folder holds "." and ".." and one entry: never more than one cluster.
  for (; !above.empty() && !folders_.contains(above); above = parent_of(above)) ++out.clusters;
  if (above.empty()) {
    out.root_entries = 1;
  } else {
    const std::size_t entries = folders_.find(above)->second;
    out.clusters += clusters_for((entries + 1) * entry_bytes) - clusters_for(entries * entry_bytes);
  }
  return out;
}

void Fill::add(std::string_view name, std::uint64_t size, bool folder) {
  const Need more = need(name, size, folder);
  total_.clusters += more.clusters;
  total_.root_entries += more.root_entries;
  if (folder && !folders_.emplace(name, dots).second) return;
  for (std::string_view above = parent_of(name); !above.empty(); above = parent_of(above)) {
    const auto [at, fresh] = folders_.emplace(above, dots);
    ++at->second;
    if (!fresh) break;
  }
}

std::vector<Set> plan_split(const Set& set, const Capacity& capacity) {
  const Set named = with_short_names(set);
  struct Part {
    Set set;
    Fill fill;
  };
  std::vector<Part> parts;
  // Open parts by clusters left, fewest first; a part whose root is full leaves it.
  std::multimap<std::uint64_t, std::size_t> open;
  const auto place = [&](std::string_view name, std::uint64_t size, bool folder) {
    const auto fits = [&](const Fill& fill) {
      const Fill::Need more = fill.need(name, size, folder);
      return fill.total().clusters + more.clusters <= capacity.clusters &&
             fill.total().root_entries + more.root_entries <= capacity.root_entries;
    };
    const auto put = [&](std::size_t part) {
      Fill& fill = parts[part].fill;
      fill.add(name, size, folder);
      open.emplace(capacity.clusters - fill.total().clusters, part);
      return part;
    };
    const std::uint64_t least = (size + capacity.cluster_bytes - 1) / capacity.cluster_bytes;
    for (auto at = open.lower_bound(least); at != open.end(); ++at) {
      if (!fits(parts[at->second].fill)) continue;
      const std::size_t part = at->second;
      open.erase(at);
      return put(part);
    }
    Fill empty(capacity.cluster_bytes);
    if (!fits(empty)) {
      const std::uint64_t over = empty.need(name, size, folder).clusters - capacity.clusters;
      throw Error(ErrorKind::refused,
                  fmt::format("too large for one volume by {} bytes, and a file is never split",
                              over * capacity.cluster_bytes),
                  "write a folder or a zip", Place{printable(name)});
    }
    parts.push_back({{}, std::move(empty)});
    return put(parts.size() - 1);
  };
  std::vector<const File*> order;
  for (const File& file : named.files) order.push_back(&file);
  std::stable_sort(order.begin(), order.end(),
                   [](const File* a, const File* b) { return a->bytes.size() > b->bytes.size(); });
  for (const File* file : order)
    parts[place(file->name, file->bytes.size(), false)].set.files.push_back(*file);
  for (const std::string& folder : named.empty_folders) {
    parts[place(folder, 0, true)].set.empty_folders.push_back(folder);
  }
  std::vector<Set> out;
  for (Part& part : parts) {
    sort_set(part.set);
    part.set.source = set.source;
    out.push_back(std::move(part.set));
  }
  return out;
}

}  // namespace keepway::media
