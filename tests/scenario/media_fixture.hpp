// Media made and read by the reference programs (dosfstools, mtools), and bytes broken in them by hand.
// ECMA-107 is the source of every place and value.
#pragma once

#include "shop_fixture.hpp"

namespace scenario {

inline constexpr std::size_t floppy_bytes = 1'474'560;  // ECMA-125: 80 x 2 x 18 sectors of 512
inline constexpr std::size_t cluster_bytes = 512;
inline constexpr std::size_t floppy_room = 2847 * cluster_bytes;  // ECMA-107: 2880 - 1 - 18 - 14 sectors

// A program of the system; fails the test when it does not exit with 0.
Ran tool(const std::string& program, const Args& args, const fs::path& cwd);

// The same files by the names that a floppy written without long names gives them.
Tree in_capitals(const Tree& files);

class MediaTest : public ShopTest {
 protected:
  // A 1.44 MB image as mkfs.fat and mcopy write it, each file with the time `when` (seconds, UTC).
  fs::path floppy(const std::string& name, const Tree& files, const std::string& label = "");
  // Its files as mcopy reads them.
  Tree mtools_tree(const fs::path& image);
  // Volumes one after another, `spacing` bytes from one to the next; "" leaves a blank. What lies between is
  // AA hex.
  fs::path stick(const std::string& name, const std::vector<std::string>& volumes, std::size_t spacing);
  void fsck_finds_nothing(const fs::path& image);

  static constexpr std::int64_t when = 1'772'355'600;  // 2026-03-01 09:00:00 UTC
};

// The file, its time of change, and nothing beside it are as they were when this was made.
class Untouched {
 public:
  explicit Untouched(fs::path file);
  ~Untouched();
  Untouched(const Untouched&) = delete;
  Untouched& operator=(const Untouched&) = delete;

 private:
  fs::path file_;
  std::string bytes_;
  fs::file_time_type time_;
};

// A 1.44 MB image's FAT (copy 0 or 1) and root folder.
unsigned fat_entry(const std::string& image, unsigned cluster);
void set_fat_entry(std::string& image, unsigned cluster, unsigned value,
                   std::vector<unsigned> copies = {0, 1});
// Where the root folder's entry of an 8.3 name such as "ALL     PRG" begins; fails the test when it is not
// there.
std::size_t entry_of(const std::string& image, const std::string& eleven);
unsigned first_cluster(const std::string& image, const std::string& eleven);
void set_first_cluster(std::string& image, const std::string& eleven, unsigned cluster);
void set_size(std::string& image, const std::string& eleven, std::uint32_t size);

}  // namespace scenario
