// The few system calls that media needs, with their failures reported as keepway::Error.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "base/fd.hpp"
#include "keepway/error.hpp"
#include "keepway/text.hpp"

struct stat;

namespace keepway::media {

// A path for messages, put together when one has to be: taking paths apart is a tenth of reading a small
// file. Looks at what it is made from.
class Where {
 public:
  Where(const std::filesystem::path& whole) : whole_(whole) {}  // NOLINT(google-explicit-constructor)
  Where(const std::filesystem::path& folder, const std::string& name) : whole_(folder), name_(&name) {}
  [[nodiscard]] std::string text() const {
    return printable(name_ != nullptr ? (whole_ / *name_).native() : whole_.native());
  }

 private:
  const std::filesystem::path& whole_;
  const std::string* name_ = nullptr;
};

// Throws an Error whose text is `what` and the system's own words for errno `number`.
[[noreturn]] void fail(ErrorKind code, std::string_view what, int number, std::string remedy,
                       const Where& where);

// Opens for reading; never a link when `follow` is false, and never waits for a pipe's writer.
Fd open_to_read(const std::filesystem::path& path, bool follow, ErrorKind code);
// The same for a name in a folder that is open.
Fd open_to_read(int folder, const std::string& name, const Where& where, bool follow, ErrorKind code);

// The whole of a regular file. Error{input} when it is over `limit` bytes or changes while it is read;
// failures of the disk carry `code`.
std::string read_whole(const Fd& fd, const Where& where, std::uint64_t limit, ErrorKind code);
// The same for one whose status was just asked.
std::string read_whole(const Fd& fd, const struct stat& before, const Where& where, std::uint64_t limit,
                       ErrorKind code);
struct stat status_of(const Fd& fd, const Where& where, ErrorKind code);

// Writes all of `bytes` at the descriptor's position. Error{store}.
void write_whole(const Fd& fd, std::string_view bytes, const std::filesystem::path& path);

// Makes what was written last through a power cut. Error{store}.
void sync(const Fd& fd, const std::filesystem::path& path);
void sync_folder(const std::filesystem::path& folder);

// Sets the time of last change. Error{store}.
void set_modified(const Fd& fd, std::int64_t seconds, const std::filesystem::path& path);

}  // namespace keepway::media
