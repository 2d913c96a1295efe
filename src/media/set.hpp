// Rules that every Set keeps, whatever medium it came from or goes to.
#pragma once

#include <string_view>

#include "keepway/media.hpp"

namespace keepway::media {

// Why a name could leave the folder it is put into, or cannot be a name at all; empty when it is fine.
std::string_view name_fault(std::string_view name);

// Error{refused}, naming the file, for a name that has a fault.
void check_name(std::string_view name);

// check_name on all names of the set; Error{refused} too when a name is given twice or is both a file
// and a folder, since no medium can hold such a set.
void check_names(const Set& set);

// Whether a name is longer than a disk or Git can hold it: over 4096 bytes, or with a part of over 255 as it
// is stored. Such a file is left out, with the flaw that says so, and the rest is read; where there is no
// rest, Error{refused}.
bool is_overlong(std::string_view name);
Flaw overlong(std::string_view name);
void leave_out_overlong(Set& set);

// Puts files and folders in order of name, and drops from the empty folders those given twice or not empty.
void sort_set(Set& set);

// What to do with a file that was deleted and read all the same.
inline constexpr const char* recovered_remedy = "check its text from end to end before any use";

// Takes care that a set being read stays within the bounds of media.hpp. Error{input}.
class Bounds {
 public:
  void take_entry(std::string_view name, std::size_t depth);
  void take_bytes(std::string_view name, std::uint64_t bytes);
  // What one more file may have at most.
  [[nodiscard]] std::uint64_t room() const;

 private:
  std::size_t entries_ = 0;
  std::uint64_t bytes_ = 0;
};

}  // namespace keepway::media
