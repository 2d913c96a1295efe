// What a browser sends to be taken in, until it is taken in or left: files in a private folder; or a stick
// that it chose.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "cli/work_process.hpp"

namespace keepway::cli {

// How a drop is looked at, and what was seen of it: what is done with it afterwards must be of the same.
struct Look {
  std::string machine;  // empty: one that is not enrolled yet
  std::string at;
  std::size_t slot = 0;
  bool recover = false;
  std::int64_t now = 0;
  std::string seen;          // a digest of all that was shown; empty until it was
  std::string another = {};  // what says that a slot that is to be written to is another machine's
};

// What came with one drop. Names are the browser's, so a stranger's: relative, confined, and never followed
// through a link.
struct Drop {
  std::uint64_t order = 0;
  std::filesystem::path medium;  // that is read where it is; all files of the drop, then
  int stick = 0;                 // its number in Sticks
  std::filesystem::path folder;  // of all that it has
  std::filesystem::path root;    // where its files are
  std::string only_file;         // its name while there is one alone
  std::size_t files = 0;
  std::uint64_t bytes = 0;
  bool is_folder = false;
  Look look;
  WorkProcess work;         // that looks at it or stores it
  bool is_storing = false;  // that work does, and is not to be replaced by a look

  // What media::read() is given: the folder, the one file that was dropped by itself, or the medium.
  [[nodiscard]] std::filesystem::path path() const;
};

class Drops {
 public:
  explicit Drops(const std::filesystem::path& in) : in_(in) {}

  // Begins one: of a folder with that name, or, where it is empty, of files. Few are kept: the
  // oldest goes that is not being stored. Error{refused} where all are.
  std::string begin(const std::string& folder);
  // The same of a medium that is plugged in: nothing is put into that.
  std::string begin(const std::filesystem::path& medium, int stick);
  // One file's bytes from `at` on; a name that ends with '/' is an empty folder. Error{refused} for a name
  // that leaves the folder, a file that came twice or in another order, and more than a backup may hold.
  void put(const std::string& id, const std::string& name, std::uint64_t at, std::string_view bytes,
           std::optional<std::int64_t> modified);
  // Error{usage} when it is no longer here.
  Drop& get(const std::string& id);
  // Its work ends, if that goes on.
  void forget(const std::string& id);

 private:
  std::string least_needed();
  std::string begin_one();
  std::filesystem::path in_;
  std::map<std::string, Drop> drops_;
  std::uint64_t next_ = 0;
};

}  // namespace keepway::cli
