// What a browser sends to be taken in, until it is taken in or left: files in a private folder.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "keepway/shop.hpp"

namespace keepway::cli {

// What came with one drop. Names are the browser's, so a stranger's: relative, confined, and never followed
// through a link.
struct Drop {
  std::uint64_t order = 0;
  std::filesystem::path folder;  // of all that it has
  std::filesystem::path root;    // where its files are
  std::string only_file;         // its name while there is one alone
  std::size_t files = 0;
  std::uint64_t bytes = 0;
  std::string machine;                   // that it was inspected for
  std::optional<Inspection> inspection;  // what was shown, and is what is stored

  // What media::read() is given: the folder, or the one file that was dropped by itself.
  [[nodiscard]] std::filesystem::path path() const;
  bool is_folder = false;
};

class Drops {
 public:
  explicit Drops(const std::filesystem::path& in) : in_(in) {}

  // Begins one: of a folder with that name, or, where it is empty, of files. Few are kept: the oldest goes.
  std::string begin(const std::string& folder);
  // One file's bytes from `at` on; a name that ends with '/' is an empty folder. Error{refused} for a name
  // that leaves the folder, a file that came twice or in another order, and more than a backup may hold.
  void put(const std::string& id, const std::string& name, std::uint64_t at, std::string_view bytes,
           std::optional<std::int64_t> modified);
  // Error{usage} when it is no longer here.
  Drop& get(const std::string& id);
  void forget(const std::string& id);
  // Only one inspection is held at a time, since it has the bytes of a whole backup.
  void hold(Drop& drop, Inspection inspection, const std::string& machine);

 private:
  std::filesystem::path in_;
  std::map<std::string, Drop> drops_;
  std::uint64_t next_ = 0;
};

}  // namespace keepway::cli
