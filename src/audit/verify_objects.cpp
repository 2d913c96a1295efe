#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>

#include "audit/pack_indexes.hpp"
#include "audit/verify.hpp"
#include "git/folder.hpp"
#include "git/guard.hpp"
#include "git/object_folders.hpp"
#include "git/pack_form.hpp"
#include "git/raw_object.hpp"
#include "git/read_object.hpp"
#include "git/sha1.hpp"
#include "git/summed_file.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t sum_size = 20;

std::vector<fs::path> entries(const fs::path& folder) {
  std::vector<fs::path> out;
  std::error_code failed;
  for (const auto& entry : fs::directory_iterator(folder, failed)) out.push_back(entry.path());
  std::sort(out.begin(), out.end());
  return out;
}

std::string below(const fs::path& file, const fs::path& git_folder) {
  const std::string relative = file.lexically_relative(git_folder).string();
  return printable(relative.starts_with("..") ? file.string() : ".git/" + relative);
}

// The ids that a whole index of version 2 lists, in the order of the pack: an object is stored as its
// difference to one near it, which is then still at hand. Fan-out at 8, ids at 8 + 1024; behind them sums of
// 4 bytes, places of 4, and the places that 31 bits do not hold, of 8.
std::vector<git_oid> ids_of_index(const std::string& bytes) {
  constexpr std::size_t ids_at = index_head_size + index_fanout_size;
  if (bytes.size() < ids_at || !bytes.starts_with("\377tOc")) return {};
  const auto count = static_cast<std::size_t>(number_at(bytes, ids_at - 4));
  if ((bytes.size() - ids_at) / (sum_size + 8) < count) return {};
  const std::size_t places_at = ids_at + count * (sum_size + 4);
  const std::string_view large = std::string_view(bytes).substr(places_at + count * 4);
  std::vector<std::pair<std::uint64_t, git_oid>> found(count);
  for (std::size_t i = 0; i < count; ++i) {
    found[i].first = place_in(std::string_view(bytes).substr(places_at + i * 4, 4), 4, large);
    git_oid_fromraw(&found[i].second,
                    reinterpret_cast<const unsigned char*>(bytes.data() + ids_at + i * sum_size));
  }
  std::sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<git_oid> ids(count);
  std::transform(found.begin(), found.end(), ids.begin(), [](const auto& each) { return each.second; });
  return ids;
}

const char* const repair_remedy =
    "repair it from another clone or remote: keepway audit MACHINE --from CLONE; until then keep the folder "
    "as it is; --rescue DIR takes out what is intact";

}  // namespace

bool ends_with_sum(const fs::path& file, std::string* sum) {
  const Fd handle(::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK));
  if (!handle) return false;
  Sha1 total;
  std::string held;  // not yet summed: the end may be the sum itself
  std::string piece(std::size_t{1} << 20U, '\0');
  while (true) {
    const ssize_t got = ::read(handle.get(), piece.data(), piece.size());
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return false;
    if (got == 0) break;
    held.append(piece, 0, static_cast<std::size_t>(got));
    if (held.size() <= sum_size) continue;
    total.put(std::string_view(held).substr(0, held.size() - sum_size));
    held.erase(0, held.size() - sum_size);
  }
  if (sum != nullptr) *sum = held;
  return held == total.finish();
}

Objects::Objects(fs::path git_folder, Findings& findings,
                 const std::function<void(std::size_t, std::size_t)>& tick)
    : git_folder_(std::move(git_folder)) {
  for (const fs::path& objects : object_folders(git_folder_ / "objects")) {
    verify_loose(objects, findings);
    verify_packs(objects / "pack", findings);
  }
  odb_ = open_objects(git_folder_ / "objects");
  read_all(tick);
}

void Objects::verify_loose(const fs::path& objects, Findings& findings) {
  std::size_t odd = 0;
  std::string first_odd;
  for (const fs::path& folder : entries(objects)) {
    const std::string head = folder.filename().string();
    if (head == "pack" || head == "info") continue;
    for (const fs::path& file : entries(folder)) {
      const auto id = parse_hex(head + file.filename().string());
      if (!id) {
        findings.push_back({Concern::note, "leavings", below(file, git_folder_),
                            "a file that an interrupted program left among the objects",
                            "'git gc' removes it"});
        continue;
      }
      list(*id);
      std::optional<std::string> bytes;
      try {
        bytes = Folder(folder).read(file.filename().string());
      } catch (const Error&) {
        bytes.reset();  // the disk does not give it
      }
      bool is_odd = false;
      const char* fault = bytes ? loose_fault(*bytes, *id, is_odd) : "its file cannot be read";
      if (is_odd && odd++ == 0) first_odd = below(file, git_folder_);
      if (fault == nullptr) continue;
      bad_files_.push_back({file, {*id}});
      findings.push_back({Concern::damage, "file-damaged", below(file, git_folder_),
                          fmt::format("the object {} is damaged: {}", oid_text(*id), fault), repair_remedy});
    }
  }
  if (odd > 0) {
    findings.push_back(
        {Concern::look, "loose-form", first_odd,
         fmt::format(
             "{} loose object{} right content in a form that neither Git nor keepway writes: a bit may "
             "have turned on the disk, or another program wrote {}",
             odd, odd == 1 ? " has the" : "s have the", odd == 1 ? "it" : "them"),
         "'git repack -ad' in the machine's folder writes them again; watch the disk"});
  }
}

void Objects::verify_packs(const fs::path& folder, Findings& findings) {
  for (const fs::path& file : entries(folder)) {
    const std::string kind = file.extension().string();
    const std::string name = file.filename().string();
    if (kind == ".idx") {
      verify_pack(file, findings);
    } else if (kind == ".pack") {
      if (!fs::exists(fs::path(file).replace_extension(".idx"))) note_pack_alone(file, findings);
    } else if (kind == ".rev" || kind == ".bitmap" || name == "multi-pack-index" || kind == ".mtimes") {
      verify_derived(file, findings);
    } else if (name.starts_with("tmp_") || name.starts_with(passing_prefix)) {
      findings.push_back({Concern::note, "leavings", below(file, git_folder_),
                          "a part of a pack that an interrupted program left", "'git gc' removes it"});
    }
  }
  const fs::path graph = folder.parent_path() / "info" / "commit-graph";
  if (fs::exists(graph)) verify_derived(graph, findings);
}

void Objects::verify_pack(const fs::path& index, Findings& findings) {
  const fs::path pack = fs::path(index).replace_extension(".pack");
  // A program that was cut off may have named the index and not yet the pack; Git passes it over. Had
  // there been a pack, what backups need of it is reported as missing.
  std::error_code absent;
  if (!fs::exists(fs::symlink_status(pack, absent))) {
    findings.push_back({Concern::note, "pack-index-alone", below(index, git_folder_),
                        "the index of a pack that is missing: what needs the pack is reported separately",
                        "nothing to do; 'keepway tidy' removes it"});
    return;
  }
  std::string pack_sum;
  const bool pack_whole = ends_with_sum(pack, &pack_sum);
  const auto bytes = Folder(index.parent_path()).read(index.filename().string());
  const bool index_whole = bytes && index_is_whole(*bytes, pack_whole ? pack_sum : std::string());
  const std::vector<git_oid> ids = index_whole ? ids_of_index(*bytes) : std::vector<git_oid>();
  for (const git_oid& id : ids) list(id);
  if (!pack_whole) {
    bad_files_.push_back({pack, ids});
    findings.push_back(
        {Concern::damage, "pack-damaged", below(pack, git_folder_),
         fmt::format("a pack of {} objects is damaged: its checksum does not match", ids.size()),
         repair_remedy});
  }
  if (!index_whole) {
    bad_files_.push_back({index, {}, pack_whole});
    findings.push_back({Concern::damage, "pack-index-damaged", below(index, git_folder_),
                        pack_whole ? "the index of a pack is damaged; the pack is intact, so nothing is lost"
                                   : "the index of a damaged pack is damaged too",
                        pack_whole ? fmt::format("make it again: keepway tidy MACHINE, or move it away, then "
                                                 "'git index-pack {}' in the machine's folder",
                                                 below(pack, git_folder_))
                                   : repair_remedy});
  }
}

void Objects::note_pack_alone(const fs::path& pack, Findings& findings) {
  const bool whole = ends_with_sum(pack);
  if (whole) bad_files_.push_back({fs::path(pack).replace_extension(".idx"), {}, true});
  findings.push_back(
      {Concern::note, "leavings", below(pack, git_folder_),
       whole ? "a pack without an index: it is intact, but its objects are not counted"
             : "a part of a pack that an interrupted program left",
       whole ? fmt::format(
                   "make the index: keepway tidy MACHINE, or 'git index-pack {}' in the machine's folder",
                   below(pack, git_folder_))
             : "'git gc' removes it"});
}

void Objects::verify_derived(const fs::path& file, Findings& findings) const {
  if (ends_with_sum(file)) return;
  findings.push_back({Concern::look, "derived-damaged", below(file, git_folder_),
                      "a file that only makes Git faster is damaged", "remove it: Git makes it again"});
}

void Objects::read_all(const std::function<void(std::size_t, std::size_t)>& tick) {
  std::size_t done = 0;
  for (const git_oid& id : in_order_) {
    try {
      const ReadObject object = read_object(*odb_, id, "read an object");
      whole_.emplace(id, object.type);
      bytes_ += object.bytes.size();
    } catch (const Error&) {
      damaged_.insert(id);
    }
    if (tick) tick(++done, in_order_.size());
  }
}

std::optional<git_object_t> Objects::type(const git_oid& id) const {
  const auto found = whole_.find(id);
  return found == whole_.end() ? std::nullopt : std::optional(found->second);
}

std::string Objects::read(const git_oid& id) const {
  const std::scoped_lock one(reading_);
  return read_object(*odb_, id, "read the object " + oid_text(id)).bytes;
}

}  // namespace keepway::store
