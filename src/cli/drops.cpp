#include "cli/drops.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>

#include "keepway/media.hpp"
#include "keepway/text.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t most_drops = 4;

Error cannot_keep(const std::string& name, int code) {
  return {ErrorKind::store, fmt::format("{} cannot be kept: {}", escape(name), std::strerror(code)),
          "check that the temporary folder's disk is not full; then drop it again"};
}

void make_folders(const fs::path& root, const fs::path& below) {
  fs::path at = root;
  for (const fs::path& part : below) {
    at /= part;
    if (::mkdir(at.c_str(), 0700) != 0 && errno != EEXIST) throw cannot_keep(below.native(), errno);
  }
}

// As safe_path() says; the name itself stays as it is.
void check_confined(const std::string& name) {
  (void)safe_path(name);
  if (static_cast<std::size_t>(std::count(name.begin(), name.end(), '/')) < media::max_depth) return;
  throw Error(ErrorKind::refused, fmt::format("{} lies too deep", escape(name.substr(0, 200))),
              fmt::format("a backup has at most {} folders within each other", media::max_depth));
}

// A file that is written to; closed with the object.
class Open {
 public:
  Open(const fs::path& path, bool fresh)
      : fd_(::open(path.c_str(),
                   O_WRONLY | O_APPEND | O_NOFOLLOW | O_CLOEXEC | (fresh ? O_CREAT | O_EXCL : 0), 0600)) {}
  ~Open() {
    if (fd_ >= 0) ::close(fd_);
  }
  Open(const Open&) = delete;
  Open& operator=(const Open&) = delete;
  Open(Open&&) = delete;
  Open& operator=(Open&&) = delete;
  [[nodiscard]] int get() const { return fd_; }

 private:
  int fd_;
};

void append(const fs::path& path, const std::string& name, std::uint64_t at, std::string_view bytes,
            std::optional<std::int64_t> modified) {
  const Open file(path, at == 0);
  struct stat status {};
  if (file.get() < 0 && errno != EEXIST && errno != ENOENT) throw cannot_keep(name, errno);
  if (file.get() < 0 || ::fstat(file.get(), &status) != 0 ||
      static_cast<std::uint64_t>(status.st_size) != at) {
    throw Error(ErrorKind::refused, fmt::format("{} came twice, or not in order", escape(name)),
                "drop the backup again");
  }
  while (!bytes.empty()) {
    const ssize_t wrote = ::write(file.get(), bytes.data(), bytes.size());
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote <= 0) throw cannot_keep(name, wrote < 0 ? errno : ENOSPC);
    bytes.remove_prefix(static_cast<std::size_t>(wrote));
  }
  if (!modified) return;
  const timespec time{static_cast<time_t>(*modified), 0};
  const timespec times[2] = {time, time};
  if (::futimens(file.get(), times) != 0) throw cannot_keep(name, errno);
}

}  // namespace

fs::path Drop::path() const {
  if (!medium.empty()) return medium;
  return !is_folder && files == 1 && !only_file.empty() ? root / only_file : root;
}

std::string Drops::begin_one() {
  while (drops_.size() >= most_drops) forget(least_needed());
  std::string id = std::to_string(++next_);
  drops_[id].order = next_;
  return id;
}

std::string Drops::begin(const fs::path& medium, int stick) {
  std::string id = begin_one();
  drops_[id].medium = medium;
  drops_[id].stick = stick;
  return id;
}

std::string Drops::begin(const std::string& folder) {
  if (!folder.empty()) check_confined(folder);
  if (folder.find('/') != std::string::npos)
    throw Error(ErrorKind::refused, "the folder's name has a slash", "drop the folder itself");
  std::string id = begin_one();
  const std::string root = folder.empty() ? "dropped" : folder;
  try {
    make_folders(in_, fs::path(id) / root);
  } catch (const Error&) {
    forget(id);
    throw;
  }
  Drop& drop = drops_[id];
  drop.folder = in_ / id;
  drop.is_folder = !folder.empty();
  drop.root = drop.folder / root;
  return id;
}

// The oldest; one that is being stored is needed, and one that was, until somebody has asked what came of it.
std::string Drops::least_needed() {
  enum class Need { none, answer, work };
  const auto need = [](Drop& drop) {
    return !drop.is_storing ? Need::none : drop.work.is_going() ? Need::work : Need::answer;
  };
  auto least = drops_.end();
  for (auto each = drops_.begin(); each != drops_.end(); ++each) {
    const auto rank = [&](auto& of) { return std::pair(need(of->second), of->second.order); };
    if (least == drops_.end() || rank(each) < rank(least)) least = each;
  }
  if (need(least->second) != Need::work) return least->first;
  throw Error(ErrorKind::refused, fmt::format("{} backups are being stored", drops_.size()),
              "wait until one of them is");
}

void Drops::put(const std::string& id, const std::string& name, std::uint64_t at, std::string_view bytes,
                std::optional<std::int64_t> modified) {
  Drop& drop = get(id);
  if (!drop.medium.empty())
    throw Error(ErrorKind::refused, "a stick takes no files here", "drop them by themselves");
  const bool is_empty_folder = name.ends_with('/');
  const std::string confined = is_empty_folder ? name.substr(0, name.size() - 1) : name;
  check_confined(confined);
  if (drop.bytes + bytes.size() > media::max_set_bytes || (at == 0 && drop.files >= media::max_files)) {
    throw Error(ErrorKind::refused,
                fmt::format("this is more than a backup may hold: {} MiB and {} files",
                            media::max_set_bytes >> 20U, media::max_files),
                "drop the folder of one backup alone; many at once are taken in with 'keepway pile'");
  }
  if (at == 0) {
    ++drop.files;
    drop.only_file =
        drop.files == 1 && !is_empty_folder && confined.find('/') == std::string::npos ? name : "";
  }
  if (is_empty_folder) return make_folders(drop.root, confined);
  const fs::path path = drop.root / confined;
  make_folders(drop.root, fs::path(confined).parent_path());
  append(path, name, at, bytes, modified);
  drop.bytes += bytes.size();
  drop.look.seen.clear();
}

Drop& Drops::get(const std::string& id) {
  if (const auto found = drops_.find(id); found != drops_.end()) return found->second;
  throw Error(ErrorKind::usage,
              "what was dropped is no longer here: it was taken in or left, or others came after it",
              "look at the machine's timeline; if the backup is not there, drop it again");
}

void Drops::forget(const std::string& id) {
  const auto found = drops_.find(id);
  if (found == drops_.end()) return;
  found->second.work.stop();
  std::error_code ignored;  // it goes with the private folder
  if (!found->second.folder.empty()) fs::remove_all(found->second.folder, ignored);
  drops_.erase(found);
}

}  // namespace keepway::cli
