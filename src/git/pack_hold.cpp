#include "git/pack_hold.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <charconv>
#include <string>
#include <string_view>
#include <utility>

#include "git/dead_locks.hpp"
#include "git/folder.hpp"
#include "git/git.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

// The text of a .keep is for people (gitformat-pack(5)); this marks ours.
constexpr std::string_view our_mark = "keepway, process ";

std::string host() {
  std::array<char, 256> name{};
  if (::gethostname(name.data(), name.size() - 1) != 0) return "?";
  return name.data();
}

// Whether the program that wrote "keepway, process 4711 on bench" is gone from this computer.
bool is_left_behind(std::string_view text) {
  const std::string here = fmt::format(" on {}\n", host());
  if (!text.starts_with(our_mark) || !text.ends_with(here)) return false;
  pid_t pid = 0;
  std::from_chars(text.data() + our_mark.size(), text.data() + text.size(), pid);
  return has_ended(pid);
}

}  // namespace

PackHold::PackHold(fs::path pack_stem) : keep_(std::move(pack_stem += ".keep")) {
  const Fd file(::open(keep_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0644));
  if (!file && errno == EEXIST) {  // somebody else's, and it holds the pack as well
    keep_.clear();
    return;
  }
  if (!file) fail_disk(errno, "write " + keep_.string());
  try {
    write_all(file.get(), fmt::format("{}{} on {}\n", our_mark, ::getpid(), host()), keep_.string());
  } catch (...) {
    (void)::unlink(keep_.c_str());
    throw;
  }
}

PackHold::PackHold(PackHold&& other) noexcept : keep_(std::exchange(other.keep_, {})) {}

PackHold& PackHold::operator=(PackHold&& other) noexcept {
  std::swap(keep_, other.keep_);
  return *this;
}

PackHold::~PackHold() {
  if (!keep_.empty()) (void)::unlink(keep_.c_str());
}

void release_packs(const fs::path& pack_folder) {
  std::error_code trouble;
  for (fs::directory_iterator at(pack_folder, trouble), end; !trouble && at != end; at.increment(trouble)) {
    if (at->path().extension() != ".keep") continue;
    const auto text = Folder(pack_folder).read(at->path().filename().string());
    if (text && is_left_behind(*text)) (void)::unlink(at->path().c_str());
  }
}

}  // namespace keepway::store
