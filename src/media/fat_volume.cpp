#include "media/fat_volume.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "media/fat_chain.hpp"
#include "media/fat_folder.hpp"
#include "media/set.hpp"
#include "media/system.hpp"

namespace keepway::media {

namespace {

// Our own bounds, not a standard's.
constexpr std::size_t max_flaws = 1000;
constexpr std::size_t max_path = 512;  // of a folder; twice what FAT-1.03 allows for a whole path
// No more than this is read of all folders together: room for max_files entries with long names.
constexpr std::size_t max_folders_bytes = max_files * 4 * entry_bytes;
constexpr const char* look_remedy = "compare it with the control, or take the backup again on another medium";

bool is_unfinished(const FolderEntry& entry) {
  return !entry.deleted && entry.name == unfinished_name && entry.start == fat_free &&
         entry.size == unfinished_size;
}

class Survey {
 public:
  Survey(const Disk& disk, Volume& volume, const std::vector<std::string>& copies)
      : disk_(disk),
        volume_(volume),
        chains_(volume.geometry, copies),
        names_{"the root folder", "the root folder"} {}

  void run(const std::string& root) {
    const FolderText text = parse_folder(root, true);
    volume_.label = text.label;
    volume_.label_time = text.label_time;
    volume_.root_full = text.full;
    take(text, "", 0);
    while (!folders_.empty()) {
      const Waiting folder = std::move(folders_.back());
      folders_.pop_back();
      walk(folder);
    }
    // Files come after all folders, so that a file that shares clusters with a folder is the one to blame.
    for (VolumeFile& file : volume_.files) settle(file);
    for (VolumeFile& file : volume_.deleted) settle_deleted(file);
    volume_.free_clusters = chains_.free_clusters();
    if (chains_.copies_differ()) flaw("", "the copies of the FAT differ");
    if (const std::uint32_t lost = chains_.lost_clusters(); lost != 0) {
      flaw("", fmt::format("{} clusters are in use by no file: a file may have been cut off", lost));
    }
    const auto by_name = [](const VolumeFile& a, const VolumeFile& b) { return a.name < b.name; };
    std::sort(volume_.files.begin(), volume_.files.end(), by_name);
    std::sort(volume_.deleted.begin(), volume_.deleted.end(), by_name);
    std::sort(volume_.empty_folders.begin(), volume_.empty_folders.end());
  }

  void flaw(const std::string& file, std::string what, const char* remedy = look_remedy) {
    if (volume_.flaws.size() < max_flaws) {
      volume_.flaws.push_back({file, std::move(what), remedy});
    } else if (volume_.flaws.size() == max_flaws) {
      volume_.flaws.push_back({"", "more is wrong than what is listed here", look_remedy});
    }
  }

 private:
  struct Waiting {
    std::string name;
    std::uint16_t start = 0;
    std::size_t depth = 0;
  };

  void walk(const Waiting& folder) {
    if (folder.depth > max_depth || folder.name.size() > max_path) {
      flaw(folder.name, "a folder nested too deep, not entered");
      return;
    }
    const Chain chain = chains_.of_folder(folder.start);
    if (!chain.fault.empty()) flaw(folder.name, "a folder, and " + chain.fault);
    if (chain.clusters.empty()) return;
    names_.push_back(folder.name);
    if (const std::uint32_t other = chains_.claim(chain, id()); other != 0) {
      flaw(folder.name, fmt::format("a folder in the clusters of {}, not entered", printable(names_[other])));
      return;
    }
    std::string bytes;
    std::string part;
    for (const std::uint16_t cluster : chain.clusters) {
      if (folder_bytes_ += volume_.geometry.cluster_bytes(); folder_bytes_ > max_folders_bytes) {
        flaw(folder.name, "not read to its end: too many folders");
        break;
      }
      if (!disk_.read(volume_.offset + volume_.geometry.cluster_at(cluster), volume_.geometry.cluster_bytes(),
                      part)) {
        flaw(folder.name, fmt::format("a folder, and its cluster {} cannot be read", cluster));
        break;
      }
      bytes += part;
    }
    const FolderText text = parse_folder(bytes, false);
    if (!text.has_dots) {
      if (!bytes.empty()) flaw(folder.name, "marked as a folder, but its content is not one; not entered");
      return;
    }
    take(text, folder.name + '/', folder.depth);
  }

  void take(const FolderText& text, const std::string& prefix, std::size_t depth) {
    std::set<std::string> used;
    std::map<std::string, std::size_t> again;
    bool empty = true;
    // Living names first, so that a deleted one gives way.
    for (const bool deleted : {false, true}) {
      for (const FolderEntry& entry : text.entries) {
        if (entry.deleted != deleted || (deleted && (entry.is_folder || entry.size == 0))) continue;
        if (volume_.files.size() + volume_.deleted.size() + entered_ >= max_files) {
          flaw("", fmt::format("more than {} files; the rest is not read", max_files));
          return;
        }
        std::string leaf = entry.name;
        while (!used.insert(leaf).second) leaf = fmt::format("{}~{}", entry.name, ++again[entry.name] + 1);
        const std::string name = prefix + leaf;
        if (deleted) {
          volume_.deleted.push_back({name, entry.size, entry.start, entry.modified, {}, false});
          continue;
        }
        empty = false;
        if (is_unfinished(entry)) {
          flaw("", "the writing of its files was broken off: it has none until they are written again",
               "write the restore set to it once more; its old content was stored before, unless --no-keep "
               "was given");
          continue;
        }
        if (leaf != entry.name) flaw(name, fmt::format("a second {} in its folder", printable(entry.name)));
        if (!entry.good_name) flaw(name, "its name has bytes that are not allowed in names");
        if (entry.is_folder) {
          ++entered_;
          folders_.push_back({name, entry.start, depth + 1});
        } else {
          volume_.files.push_back({name, entry.size, entry.start, entry.modified, {}, true});
        }
      }
    }
    if (empty && !prefix.empty()) volume_.empty_folders.push_back(prefix.substr(0, prefix.size() - 1));
  }

  void settle(VolumeFile& file) {
    Chain chain = chains_.of_file(file.start, file.size);
    if (!chain.fault.empty()) flaw(file.name, chain.fault);
    names_.push_back(file.name);
    if (const std::uint32_t other = chains_.claim(chain, id()); other != 0) {
      flaw(file.name, fmt::format("shares clusters with {}", printable(names_[other])));
      if (blamed_.insert(other).second) {
        flaw(names_[other], fmt::format("shares clusters with {}", printable(file.name)));
      }
    }
    const std::uint64_t end = disk_.size();
    for (const std::uint16_t cluster : chain.clusters) {
      if (volume_.offset + volume_.geometry.cluster_at(cluster) + volume_.geometry.cluster_bytes() > end) {
        flaw(file.name, fmt::format("its cluster {} lies beyond the end of the medium", cluster));
        break;
      }
    }
    file.chain = std::move(chain.clusters);
  }

  // A deleted file can be had while its first cluster and as many after it as it needs are free.
  void settle_deleted(VolumeFile& file) {
    const std::uint64_t size = volume_.geometry.cluster_bytes();
    const std::uint64_t count = (file.size + size - 1) / size;
    const std::uint64_t last = file.start + count - 1;
    if (!volume_.geometry.holds(file.start) || last > UINT16_MAX ||
        !volume_.geometry.holds(static_cast<std::uint32_t>(last)) || count > recover_left_ ||
        volume_.offset + volume_.geometry.cluster_at(static_cast<std::uint32_t>(last)) + size >
            disk_.size()) {
      return;
    }
    for (std::uint64_t i = file.start; i <= last; ++i) {
      if (!chains_.is_free(static_cast<std::uint32_t>(i))) return;
    }
    recover_left_ -= count;
    for (std::uint64_t i = file.start; i <= last; ++i) file.chain.push_back(static_cast<std::uint16_t>(i));
    file.readable = true;
  }

  [[nodiscard]] std::uint32_t id() const { return static_cast<std::uint32_t>(names_.size() - 1); }

  const Disk& disk_;
  Volume& volume_;
  Chains chains_;
  std::vector<std::string> names_;  // by owner; 0 is nobody
  std::vector<Waiting> folders_;
  std::set<std::uint32_t> blamed_;
  std::size_t entered_ = 0;
  std::size_t folder_bytes_ = 0;
  // Deleted entries may overlap each other; honest ones do not by much.
  std::uint64_t recover_left_ = std::uint64_t{4} * volume_.geometry.clusters();
};

}  // namespace

std::optional<Volume> survey(const Disk& disk, std::uint64_t offset) {
  std::string boot;
  if (!disk.read(offset, boot_bytes, boot)) return std::nullopt;
  const std::optional<Geometry> geometry = parse_boot_sector(boot);
  if (!geometry || geometry->data_at() > disk.size() - offset) return std::nullopt;
  Volume volume;
  volume.geometry = *geometry;
  volume.offset = offset;
  std::vector<std::string> copies;
  std::vector<std::string> complaints;
  for (std::uint32_t copy = 0; copy < geometry->fats; ++copy) {
    std::string bytes;
    if (!disk.read(offset + geometry->fat_at(copy), geometry->fat_used_bytes(), bytes)) {
      complaints.push_back(fmt::format("copy {} of the FAT cannot be read", copy + 1));
      continue;
    }
    if (fat_begins_right(*geometry, bytes)) {
      volume.fat_right = true;
    } else {
      complaints.push_back(fmt::format("copy {} of the FAT does not begin like a FAT", copy + 1));
    }
    copies.push_back(std::move(bytes));
  }
  if (copies.empty()) copies.emplace_back();
  std::string root;
  if (!disk.read(offset + geometry->root_at(), geometry->root_bytes(), root)) {
    complaints.emplace_back("the root folder cannot be read");
    root.clear();
  }
  Survey survey(disk, volume, copies);
  for (std::string& complaint : complaints) survey.flaw("", std::move(complaint));
  if (geometry->bytes() > disk.size() - offset) {
    survey.flaw("", fmt::format("the medium ends {} bytes before the volume does",
                                geometry->bytes() - (disk.size() - offset)));
  }
  survey.run(root);
  return volume;
}

// The file that was written last: the newest, and of those the one that lies furthest back.
const VolumeFile* last_written(const Volume& volume) {
  const VolumeFile* last = nullptr;
  const auto end_of = [](const VolumeFile& file) { return file.chain.empty() ? 0 : file.chain.back(); };
  for (const VolumeFile& file : volume.files) {
    if (last == nullptr || std::pair(file.modified, end_of(file)) > std::pair(last->modified, end_of(*last)))
      last = &file;
  }
  return last;
}

namespace {

std::string with_first_letter(std::string name, char letter) {
  name[name.rfind('/') + 1] = letter;
  return printable(name);
}

}  // namespace

Set read_volume(const Disk& disk, const Volume& volume, bool recover) {
  Set set;
  set.empty_folders = volume.empty_folders;
  set.flaws = volume.flaws;
  set.volume_full = volume.full();
  set.label = volume.label;
  set.label_time = volume.label_time;
  const std::size_t step = volume.geometry.cluster_bytes();
  const VolumeFile* last = last_written(volume);
  if (last != nullptr && last->size > 0 && last->size == std::uint64_t{last->chain.size()} * step)
    set.filled_file = last->name;
  std::uint64_t total = 0;
  const auto fetch = [&](const VolumeFile& file, bool recovered) {
    File out{file.name, {}, file.modified, recovered};
    const std::uint64_t have = std::min<std::uint64_t>(file.size, std::uint64_t{file.chain.size()} * step);
    if (have > max_file_bytes || (total += have) > max_set_bytes) {
      throw Error(ErrorKind::input, "over the limit of bytes for one backup",
                  "give only the files of a backup", Place{printable(file.name)});
    }
    out.bytes.resize(have);
    std::uint64_t at = 0;
    bool reported = false;
    for (const std::uint16_t cluster : file.chain) {
      const std::size_t size = static_cast<std::size_t>(std::min<std::uint64_t>(step, have - at));
      if (!disk.read(volume.offset + volume.geometry.cluster_at(cluster), out.bytes.data() + at, size)) {
        std::fill_n(out.bytes.begin() + static_cast<std::ptrdiff_t>(at), size, '\0');
        if (!reported)
          set.flaws.push_back({file.name, fmt::format("cannot be read at byte {}", at), look_remedy});
        reported = true;
      }
      at += size;
    }
    set.files.push_back(std::move(out));
  };
  for (const VolumeFile& file : volume.files) fetch(file, false);
  for (const VolumeFile& file : volume.deleted) {
    set.deleted.push_back({file.name, file.size, file.modified, file.readable});
    if (!recover || !file.readable) continue;
    fetch(file, true);
    set.flaws.push_back(
        {file.name, "was deleted; read from clusters that are still free, as if in one piece",
         file.name[file.name.rfind('/') + 1] != '_'
             ? recovered_remedy
             : fmt::format("{}; the first letter of its name is lost: if it was X, say --recovered-as {}={}",
                           recovered_remedy, printable(file.name), with_first_letter(file.name, 'X'))});
  }
  std::sort(set.files.begin(), set.files.end(), [](const File& a, const File& b) { return a.name < b.name; });
  return set;
}

}  // namespace keepway::media
