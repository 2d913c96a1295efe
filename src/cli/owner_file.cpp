#include "cli/owner_file.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <system_error>

#include "keepway/small_file.hpp"

namespace keepway::cli {

std::string read_owner_file(const Machine& machine, const std::string& file) {
  return machine.repository().working_file(file).value_or("");
}

void write_owner_file(const Machine& machine, const std::string& file, const std::string& text) {
  if (write_small_file(machine.repository().folder() / file, text)) return;
  throw Error(ErrorKind::store, fmt::format("{} of {} cannot be written", file, machine.facts().name),
              "check that its folder may be written and that the disk is not full");
}

std::string read_given_file(const std::string& path) {
  std::error_code failed;
  (void)std::filesystem::status(path, failed);
  if (failed) {
    throw Error(ErrorKind::input, fmt::format("cannot be read: {}", failed.message()), "check the path",
                Place{escape(path)});
  }
  if (auto text = read_small_file(path)) return std::move(*text);
  throw Error(ErrorKind::input, "cannot be read as a file of at most 16 MiB",
              "check its name and that you may read it", Place{escape(path)});
}

}  // namespace keepway::cli
