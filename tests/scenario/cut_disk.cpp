#include "cut_disk.hpp"

#include <fcntl.h>
#include <sys/mount.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <ostream>
#include <stdexcept>
#include <thread>

namespace scenario {
namespace {

constexpr std::size_t block = 4096;

class File {
 public:
  File(const fs::path& path, int flags) : number_(::open(path.c_str(), flags | O_CLOEXEC, 0600)) {
    if (number_ < 0) throw std::runtime_error("cannot open " + path.string());
  }
  ~File() { ::close(number_); }
  File(const File&) = delete;
  File& operator=(const File&) = delete;
  [[nodiscard]] int get() const { return number_; }

 private:
  int number_;
};

std::string block_at(int file, std::uint64_t at) {
  std::string bytes(block, '\0');
  if (::pread(file, bytes.data(), block, static_cast<off_t>(at)) < 0)
    throw std::runtime_error("cannot read the image");
  return bytes;
}

// Visits the blocks of a file that are not a hole.
template <typename Visit>
void for_each_block(int file, Visit visit) {
  constexpr std::size_t at_a_time = 256 * block;
  std::string piece(at_a_time, '\0');
  off_t end = 0;
  while (true) {
    const off_t begin = ::lseek(file, end, SEEK_DATA);
    if (begin < 0) return;  // ENXIO: no more
    end = ::lseek(file, begin, SEEK_HOLE);
    for (off_t at = begin - begin % static_cast<off_t>(block); at < end;) {
      const auto wanted = std::min(at_a_time, static_cast<std::size_t>(end - at));
      const ssize_t got = ::pread(file, piece.data(), wanted, at);
      if (got <= 0) throw std::runtime_error("cannot read the image");
      for (std::size_t i = 0; i + block <= static_cast<std::size_t>(got); i += block)
        visit(static_cast<std::uint64_t>(at) + i, std::string_view(piece).substr(i, block));
      at += got;
    }
  }
}

void copy_image(const fs::path& from, const fs::path& to, std::uint64_t bytes) {
  fs::remove(to);
  const File in(from, O_RDONLY);
  const File out(to, O_RDWR | O_CREAT | O_EXCL);
  if (::ftruncate(out.get(), static_cast<off_t>(bytes)) != 0)
    throw std::runtime_error("no room for an image");
  for_each_block(in.get(), [&](std::uint64_t at, std::string_view held) {
    if (::pwrite(out.get(), held.data(), held.size(), static_cast<off_t>(at)) !=
        static_cast<ssize_t>(held.size()))
      throw std::runtime_error("no room for an image");
  });
}

}  // namespace

void PrintTo(const FileSystem& each, std::ostream* out) {
  *out << each.name;
}

const std::vector<FileSystem>& file_systems() {
  constexpr std::uint64_t mib = std::uint64_t{1} << 20U;
  static const std::vector<FileSystem> all = {
      {"ext4", {"mkfs.ext4", "-q"}, "loop", 48 * mib},
      // The order in which data and names come to the disk is left wholly to the file system.
      {"ext4_writeback", {"mkfs.ext4", "-q"}, "loop,data=writeback,noauto_da_alloc", 48 * mib},
      {"xfs", {"mkfs.xfs", "-q"}, "loop", 320 * mib},
      {"btrfs", {"mkfs.btrfs", "-q"}, "loop", 128 * mib},
  };
  return all;
}

CutDisk::CutDisk(FileSystem system, fs::path at) : system_(std::move(system)), at_(std::move(at)) {
  const fs::path memory = "/dev/shm";
  folder_ = ::access(memory.c_str(), W_OK) == 0 ? memory / ("keepway-cut-" + std::to_string(::getpid()))
                                                : scratch_.path();
  fs::create_directories(folder_);
  if (::geteuid() != 0) {
    trouble_ = "only root may mount";
    return;
  }
  {
    const File image(folder_ / "fresh", O_RDWR | O_CREAT | O_TRUNC);
    if (::ftruncate(image.get(), static_cast<off_t>(system_.bytes)) != 0)
      throw std::runtime_error("no room for an image");
  }
  Args make(system_.make.begin() + 1, system_.make.end());
  make.push_back((folder_ / "fresh").string());
  const Ran made = run(system_.make.front(), make, "/");
  if (made.exit != 0) {
    trouble_ = made.exit == 127 ? "there is no " + system_.make.front() : made.err;
    return;
  }
  copy_image(folder_ / "fresh", folder_ / "image", system_.bytes);
  const Ran ran = mount();
  if (ran.exit != 0) {
    trouble_ = ran.err;
    return;
  }
  write_file(at_ / "another", "0");
}

CutDisk::~CutDisk() {
  if (mounted_) (void)::umount2(at_.c_str(), MNT_DETACH);
  std::error_code stays;
  fs::remove_all(folder_, stays);
}

Ran CutDisk::mount() {
  Ran ran = run("mount", {"-o", system_.options, (folder_ / "image").string(), at_.string()}, "/");
  mounted_ = ran.exit == 0;
  return ran;
}

void CutDisk::unmount() {
  // What has just ended may still be let go of.
  for (int tries = 0; ::umount(at_.c_str()) != 0; ++tries) {
    if (errno != EBUSY || tries > 500) throw std::runtime_error("cannot unmount " + at_.string());
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  mounted_ = false;
}

CutDisk::Snapshot CutDisk::snapshot() const {
  const File fresh(folder_ / "fresh", O_RDONLY);
  const auto look = [&] {
    const File image(folder_ / "image", O_RDONLY);
    Snapshot out;
    for_each_block(image.get(), [&](std::uint64_t at, std::string_view held) {
      if (block_at(fresh.get(), at) != held) out.emplace(at, held);
    });
    return out;
  };
  // The file system may be writing: two looks at one moment's disk are the same.
  for (Snapshot now = look();;) {
    Snapshot again = look();
    if (again == now) return now;
    now = std::move(again);
  }
}

void CutDisk::sync_another() {
  const File file(at_ / "another", O_WRONLY);
  if (::pwrite(file.get(), "1", 1, 0) != 1 || ::fsync(file.get()) != 0)
    throw std::runtime_error("cannot sync a file");
}

void CutDisk::cut_to(const Snapshot& snapshot) {
  if (mounted_) unmount();
  copy_image(folder_ / "fresh", folder_ / "image", system_.bytes);
  {
    const File image(folder_ / "image", O_WRONLY);
    for (const auto& [at, held] : snapshot) {
      if (::pwrite(image.get(), held.data(), held.size(), static_cast<off_t>(at)) !=
          static_cast<ssize_t>(held.size()))
        throw std::runtime_error("no room for an image");
    }
  }
  const Ran ran = mount();
  if (ran.exit != 0) throw std::runtime_error("the disk does not come up again: " + ran.err);
}

}  // namespace scenario
