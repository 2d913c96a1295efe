// A folder of a test's own, gone when the test ends.
#pragma once

#include <stdlib.h>  // mkdtemp is POSIX

#include <filesystem>
#include <functional>
#include <stdexcept>
#include <string>

namespace keepway::media {

class Scratch {
 public:
  Scratch() {
    std::string made = (std::filesystem::temp_directory_path() / "keepway-XXXXXX").native();
    if (::mkdtemp(made.data()) == nullptr) throw std::runtime_error("no scratch folder");
    path_ = made;
  }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  ~Scratch() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  friend std::filesystem::path operator/(const Scratch& scratch, const std::filesystem::path& name) {
    return scratch.path_ / name;
  }

 private:
  std::filesystem::path path_;
};

}  // namespace keepway::media
