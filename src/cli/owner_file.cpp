#include "cli/owner_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <filesystem>
#include <system_error>

#include "keepway/small_file.hpp"

namespace keepway::cli {

namespace {

// The kernel's lock on the machine's folder: it ends with whoever has it. Where a file system has none, edits
// go on without.
class EditLock {
 public:
  explicit EditLock(const std::filesystem::path& folder)
      : folder_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
    if (folder_ >= 0) (void)::flock(folder_, LOCK_EX);
  }
  ~EditLock() {
    if (folder_ >= 0) ::close(folder_);
  }
  EditLock(const EditLock&) = delete;
  EditLock& operator=(const EditLock&) = delete;
  EditLock(EditLock&&) = delete;
  EditLock& operator=(EditLock&&) = delete;

 private:
  int folder_;
};

}  // namespace

std::string read_owner_file(const Machine& machine, const std::string& file) {
  return machine.repository().working_file(file).value_or("");
}

bool edit_owner_file(const Machine& machine, const std::string& file,
                     const std::function<std::string(const std::string&)>& edit) {
  const std::filesystem::path& folder = machine.repository().folder();
  const EditLock lock(folder);
  const std::string was = read_owner_file(machine, file);
  const std::string text = edit(was);
  if (text == was) return false;
  if (write_small_file(folder / file, text)) return true;
  throw Error(ErrorKind::store, fmt::format("{} of {} cannot be written", file, machine.facts().name),
              "check that its folder may be written and that the disk is not full");
}

std::string read_given_file(const std::string& path) {
  std::error_code failed;
  const auto status = std::filesystem::status(path, failed);
  if (failed) {
    throw Error(ErrorKind::input, fmt::format("cannot be read: {}", failed.message()), "check the path",
                Place{escape(path)});
  }
  if (std::filesystem::is_directory(status))
    throw Error(ErrorKind::input, "is a folder", "name the files in it", Place{escape(path)});
  if (auto text = read_small_file(path)) return std::move(*text);
  throw Error(ErrorKind::input, "cannot be read as a file of at most 16 MiB",
              "check its name and that you may read it", Place{escape(path)});
}

}  // namespace keepway::cli
