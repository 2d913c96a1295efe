#include "media/fat_write.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/sha256.hpp"
#include "media/fat_name.hpp"

namespace keepway::media {

namespace {

// FAT16 volumes may have 2 GiB; a floppy's neighbour needs no more than a set may have.
constexpr std::uint64_t max_volume_bytes = max_set_bytes;

std::string entry_of(std::string_view eleven, unsigned char attributes, std::uint16_t start,
                     std::uint32_t size, std::optional<std::int64_t> modified) {
  std::string raw(entry_bytes, '\0');
  raw.replace(0, short_bytes, eleven);
  raw[at_attributes] = static_cast<char>(attributes);
  const DosTime time = to_dos(modified);
  put16(raw, at_time, time.time);
  put16(raw, at_date, time.date);
  put16(raw, at_start, start);
  put32(raw, at_size, size);
  return raw;
}

std::string label_entry(const Kept& kept) {
  std::string eleven = kept.label;
  eleven.resize(short_bytes, ' ');
  return entry_of(eleven, attribute_label, 0, 0, kept.label_time);
}

class Maker {
 public:
  Maker(const Geometry& geometry, const Kept& kept, const Set& set)
      : geometry_(geometry), kept_(kept), set_(set), fat_(geometry.clusters() + first_cluster, fat_free) {
    for (const std::uint16_t cluster : kept.bad) fat_[cluster] = fat_bad;
    fat_[0] = static_cast<std::uint16_t>(0xFF00U | geometry.media);  // ECMA-107, first two entries
    fat_[1] = fat_end;
  }

  std::string run() {
    check_room();
    image_.assign(static_cast<std::size_t>(geometry_.bytes()), '\0');
    if (!kept_.label.empty()) folders_[""].text += label_entry(kept_);
    for (const std::string& folder : set_.empty_folders) make_folder(folder);
    for (const File& file : set_.files) {
      make_folder(std::string(parent_of(file.name)));
      const std::vector<std::uint16_t> chain = take(file.bytes.size());
      for (std::size_t i = 0; i < chain.size(); ++i) {
        image_.replace(static_cast<std::size_t>(geometry_.cluster_at(chain[i])),
                       std::min<std::size_t>(geometry_.cluster_bytes(),
                                             file.bytes.size() - i * geometry_.cluster_bytes()),
                       file.bytes, i * geometry_.cluster_bytes(), geometry_.cluster_bytes());
      }
      const std::string_view leaf = std::string_view(file.name).substr(file.name.rfind('/') + 1);
      entry(parent_of(file.name), *short_name(leaf), attribute_archive, chain.empty() ? fat_free : chain[0],
            static_cast<std::uint32_t>(file.bytes.size()), file.modified);
    }
    put_folders();
    put_system();
    return std::move(image_);
  }

 private:
  struct Folder {
    std::uint16_t start = 0;
    std::string text;
  };

  static std::string_view parent_of(std::string_view name) {
    const std::size_t slash = name.rfind('/');
    return slash == std::string_view::npos ? std::string_view() : name.substr(0, slash);
  }

  void check_room() const {
    if (geometry_.bytes() > max_volume_bytes) {
      throw Error(ErrorKind::refused, "a volume too large to be written", "write a folder or a zip");
    }
    Fill fill(geometry_.cluster_bytes());
    for (const std::string& folder : set_.empty_folders) fill.add(folder, 0, true);
    for (const File& file : set_.files) fill.add(file.name, file.bytes.size(), false);
    const std::uint64_t have = geometry_.clusters() - kept_.bad.size();
    if (fill.total().clusters > have) {
      throw Error(ErrorKind::refused,
                  fmt::format("does not fit on the volume by {} bytes",
                              (fill.total().clusters - have) * geometry_.cluster_bytes()),
                  "write it to several volumes, or to a folder or a zip");
    }
    const std::size_t names = fill.total().root_entries + (kept_.label.empty() ? 0 : 1);
    if (names > geometry_.root_entries) {
      throw Error(ErrorKind::refused,
                  fmt::format("does not fit on the volume by {} bytes of its root folder ({} names)",
                              (names - geometry_.root_entries) * entry_bytes, names - geometry_.root_entries),
                  "write it to several volumes, or to a folder or a zip");
    }
  }

  std::uint16_t take_one() {
    while (fat_[next_] != fat_free) ++next_;
    return next_;
  }

  // A chain long enough for so many bytes. check_room has seen that there is room.
  std::vector<std::uint16_t> take(std::uint64_t bytes) {
    std::vector<std::uint16_t> chain;
    for (std::uint64_t at = 0; at < bytes; at += geometry_.cluster_bytes()) {
      const std::uint16_t cluster = take_one();
      if (!chain.empty()) fat_[chain.back()] = cluster;
      fat_[cluster] = fat_end;
      chain.push_back(cluster);
    }
    return chain;
  }

  void entry(std::string_view folder, std::string_view eleven, unsigned char attributes, std::uint16_t start,
             std::uint32_t size, std::optional<std::int64_t> modified) {
    folders_[std::string(folder)].text += entry_of(eleven, attributes, start, size, modified);
  }

  // Makes a folder and those above it that are not there yet: the first cluster of each is taken at once, the
  // others when its entries are known.
  void make_folder(const std::string& name) {
    std::vector<std::string> missing;
    for (std::string_view at = name; !at.empty() && !folders_.contains(std::string(at)); at = parent_of(at)) {
      missing.emplace_back(at);
    }
    std::reverse(missing.begin(), missing.end());
    for (const std::string& path : missing) {
      const std::string above(parent_of(path));
      const std::uint16_t start = take(1)[0];
      const auto when = set_.newest();
      folders_[path].start = start;
      entry(path, ".          ", attribute_folder, start, 0, when);
      entry(path, "..         ", attribute_folder, folders_[above].start, 0,
            when);  // 0 for the root (FAT-1.03)
      entry(above, *short_name(std::string_view(path).substr(path.rfind('/') + 1)), attribute_folder, start,
            0, when);
    }
  }

  void put_folders() {
    for (const auto& [name, folder] : folders_) {
      if (name.empty()) {
        image_.replace(static_cast<std::size_t>(geometry_.root_at()), folder.text.size(), folder.text);
        continue;
      }
      std::vector<std::uint16_t> chain{folder.start};
      const std::size_t step = geometry_.cluster_bytes();
      if (folder.text.size() > step) {
        const std::vector<std::uint16_t> more = take(folder.text.size() - step);
        fat_[folder.start] = more[0];
        chain.insert(chain.end(), more.begin(), more.end());
      }
      for (std::size_t i = 0; i < chain.size(); ++i) {
        const std::size_t size = std::min(step, folder.text.size() - i * step);
        image_.replace(static_cast<std::size_t>(geometry_.cluster_at(chain[i])), size, folder.text, i * step,
                       size);
      }
    }
  }

  void put_system() {
    const std::string fat = pack_fat(geometry_, fat_);
    for (std::uint32_t copy = 0; copy < geometry_.fats; ++copy) {
      image_.replace(static_cast<std::size_t>(geometry_.fat_at(copy)), fat.size(), fat);
    }
    if (!kept_.reserved.empty()) {
      image_.replace(0, kept_.reserved.size(), kept_.reserved);
      return;
    }
    // The volume's number comes from its content, so that the same set gives the same volume.
    const auto serial = static_cast<std::uint32_t>(std::stoul(sha256_hex(image_).substr(0, 8), nullptr, 16));
    const std::string boot = make_boot_sector(geometry_, serial);
    image_.replace(0, boot.size(), boot);
  }

  const Geometry& geometry_;
  const Kept& kept_;
  const Set& set_;
  std::vector<std::uint16_t> fat_;
  std::uint16_t next_ = first_cluster;
  std::map<std::string, Folder> folders_{{"", {}}};
  std::string image_;
};

}  // namespace

std::string make_volume(const Geometry& geometry, const Kept& kept, const Set& set) {
  const Set named = with_short_names(set);
  return Maker(geometry, kept, named).run();
}

std::string unfinished_root(const Kept& kept) {
  std::string sector = kept.label.empty() ? "" : label_entry(kept);
  sector +=
      entry_of(*short_name(unfinished_name), attribute_archive, fat_free, unfinished_size, std::nullopt);
  sector.resize(boot_bytes, '\0');
  return sector;
}

}  // namespace keepway::media
