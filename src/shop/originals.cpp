// A received set as files of the tree below originals/, and back.
#include "keepway/originals.hpp"

#include <algorithm>
#include <cctype>
#include <unordered_set>

#include "base/parallel.hpp"
#include "keepway/sha256.hpp"
#include "keepway/text.hpp"
#include "shop/digest.hpp"

namespace keepway {
namespace {

constexpr std::string_view originals_folder = "originals/";
// A part that safe_path() never makes: it marks a folder that was empty, which Git cannot hold.
constexpr std::string_view empty_mark = "%";

// Paths that differ in letter case alone would overwrite each other in a checkout on a disk that does not
// tell case, a file and a folder no less than two files.
class Taken {
 public:
  // The path, with letters written %NN until it clashes with no other: first of its last part, then of its
  // folders. It reads back the same. The names themselves differ, so this ends.
  std::string take(std::string path) {
    const std::size_t last = path.find_last_of('/') + 1;
    std::size_t at = last;
    bool folders = false;
    std::string folded = lower(path);
    while (clashes(folded)) {
      while (at < path.size() && std::isalpha(static_cast<unsigned char>(path[at])) == 0)
        at += path[at] == '%' ? 3 : 1;
      if (at >= path.size()) {
        if (folders || last == 0) break;
        folders = true;
        at = 0;
        continue;
      }
      static constexpr std::string_view digits = "0123456789ABCDEF";
      const auto byte = static_cast<unsigned char>(path[at]);
      path.replace(at, 1, {'%', digits[byte >> 4], digits[byte & 15]});
      at += 3;
      folded = lower(path);
    }
    for (std::size_t slash = 0; (slash = folded.find('/', slash)) != std::string::npos; ++slash)
      folders_.insert(folded.substr(0, slash));
    files_.insert(std::move(folded));
    return path;
  }

 private:
  [[nodiscard]] bool clashes(const std::string& folded) const {
    if (files_.contains(folded) || folders_.contains(folded)) return true;
    for (std::size_t slash = 0; (slash = folded.find('/', slash)) != std::string::npos; ++slash) {
      if (files_.contains(folded.substr(0, slash))) return true;
    }
    return false;
  }

  std::unordered_set<std::string> files_;
  std::unordered_set<std::string> folders_;
};

// One name for two things, or for a file and a folder, could not be put back.
void refuse_clashes(const media::Set& set) {
  std::unordered_set<std::string_view> files;
  std::unordered_set<std::string_view> folders;
  const auto refuse = [](std::string_view name) {
    const std::string shown = escape(name);
    throw Error(ErrorKind::refused, "'" + shown + "' occurs twice, as two files or as a file and a folder",
                "take one of them off the medium and take it in by itself", Place{shown});
  };
  for (const media::File& file : set.files) {
    if (!files.insert(file.name).second) refuse(file.name);
  }
  const auto check_parents = [&](std::string_view name) {
    for (std::size_t slash = 0; (slash = name.find('/', slash)) != std::string_view::npos; ++slash) {
      if (files.contains(name.substr(0, slash))) refuse(name.substr(0, slash));
    }
  };
  for (const media::File& file : set.files) check_parents(file.name);
  for (const std::string& name : set.empty_folders) {
    check_parents(name);
    if (files.contains(name) || !folders.insert(name).second) refuse(name);
  }
}

}  // namespace

std::vector<OriginalFile> original_files(const media::Set& set, const std::vector<Sha256>& sums) {
  refuse_clashes(set);
  std::vector<OriginalFile> files;
  Taken taken;
  files.reserve(set.files.size() + set.empty_folders.size());
  for (const media::File& file : set.files) {
    const std::size_t place = files.size();
    files.push_back({std::string(originals_folder) + taken.take(safe_path(file.name)), file.bytes});
    if (place < sums.size()) files.back().sum = sums[place];
  }
  for (const std::string& name : set.empty_folders) {
    files.push_back(
        {std::string(originals_folder) + taken.take(safe_path(name) + "/" + std::string(empty_mark)), {}});
  }
  std::sort(files.begin(), files.end(),
            [](const OriginalFile& a, const OriginalFile& b) { return a.path < b.path; });
  return files;
}

std::optional<std::string> original_name(std::string_view path, std::string* empty_folder) {
  path.remove_prefix(originals_folder.size());
  if (path.ends_with('/' + std::string(empty_mark))) {
    path.remove_suffix(empty_mark.size() + 1);
    if (empty_folder != nullptr) *empty_folder = received_name(path);
    return std::nullopt;
  }
  return received_name(path);
}

std::string digest_of(const std::vector<SummedFile>& files, const std::vector<std::string>& empty_folders) {
  std::vector<std::string> lines;
  lines.reserve(files.size() + empty_folders.size());
  for (const SummedFile& file : files) lines.push_back(safe_path(file.name) + " " + file.sha256);
  for (const std::string& name : empty_folders) lines.push_back(safe_path(name) + "/ empty");
  std::sort(lines.begin(), lines.end());
  std::string all;
  for (const std::string& line : lines) (all += line) += '\n';
  return sha256_hex(all);
}

namespace {

SetSums with_digest(const media::Set& set, std::vector<Sha256> sums) {
  std::vector<SummedFile> files;
  files.reserve(sums.size());
  for (std::size_t i = 0; i < sums.size(); ++i) files.push_back({set.files[i].name, hex(sums[i])});
  return {std::move(sums), digest_of(files, set.empty_folders)};
}

}  // namespace

SetSums sums_of(const media::Set& set) {
  std::vector<Sha256> sums(set.files.size());
  std::size_t bytes = 0;
  for (const media::File& file : set.files) bytes += file.bytes.size();
  constexpr std::size_t worth_a_thread = std::size_t{2} << 20U;
  in_parallel(set.files.size(), bytes > worth_a_thread,
              [&](std::size_t i) { sums[i] = sha256(set.files[i].bytes); });
  return with_digest(set, std::move(sums));
}

SetSums SumMemory::sums_of(const media::Set& set) {
  constexpr std::size_t most = std::size_t{64} << 20U;
  std::size_t room = most;
  std::unordered_map<std::string, File> now;
  std::vector<Sha256> sums;
  sums.reserve(set.files.size());
  for (const media::File& file : set.files) {
    auto before = files_.extract(file.name);
    const bool same = !before.empty() && before.mapped().bytes == file.bytes;
    const Sha256 sum = same ? before.mapped().sum : sha256(file.bytes);
    sums.push_back(sum);
    if (file.bytes.size() > room) continue;
    room -= file.bytes.size();
    if (same) {
      now.insert(std::move(before));
    } else {
      now[file.name] = {file.bytes, sum};
    }
  }
  files_ = std::move(now);
  return with_digest(set, std::move(sums));
}

std::string set_digest(const media::Set& set) {
  return sums_of(set).digest;
}

}  // namespace keepway
