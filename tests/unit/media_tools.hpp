// Invented sets of files, and the reference programs that tests compare with: dosfstools and mtools.
#pragma once

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdlib>
#include <random>
#include <set>
#include <string>

#include "keepway/media.hpp"
#include "media/disk.hpp"
#include "media/fat_write.hpp"

namespace keepway::media {

using Random = std::mt19937_64;

inline std::size_t below(Random& random, std::size_t end) {
  return std::uniform_int_distribution<std::size_t>(0, end - 1)(random);
}

// Runs a command in UTC; its exit code. What it says goes nowhere.
inline int run(const std::string& command) {
  const int status =
      std::system(("TZ=UTC MTOOLS_SKIP_CHECK=1 sh -c '" + command + "' >/dev/null 2>&1").c_str());
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

inline std::string random_bytes(Random& random, std::size_t size) {
  std::string out(size, '\0');
  for (char& byte : out) byte = static_cast<char>(random());
  return out;
}

inline std::string random_word(Random& random, std::string_view letters, std::size_t most) {
  std::string out;
  for (std::size_t i = below(random, most) + 1; i > 0; --i) out += letters[below(random, letters.size())];
  return out;
}

// A set with 8.3 names, sub-folders and times in whole even seconds, that fits a 1.44 MB volume.
inline Set random_short_set(Random& random) {
  constexpr std::string_view letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-$%~!#&@^(){}";
  Set set;
  std::set<std::string> used;
  std::vector<std::string> folders{""};
  for (std::size_t i = below(random, 5); i > 0; --i) {
    const std::string name = folders[below(random, folders.size())] + random_word(random, letters, 8);
    if (used.insert(name).second) folders.push_back(name + "/");
  }
  std::size_t room = 1'300'000;
  for (std::size_t i = below(random, 60) + 1; i > 0; --i) {
    std::string name = folders[below(random, folders.size())] + random_word(random, letters, 8);
    if (below(random, 3) != 0) name += "." + random_word(random, letters, 3);
    const std::size_t size =
        std::min(below(random, 8) == 0 ? below(random, 300'000) : below(random, 9) * 256, room);
    if (!used.insert(name).second) continue;
    room -= size;
    // 1980-01-02 to 2099: mtools 4.0 takes 2100 for a leap year.
    const auto when = static_cast<std::int64_t>(315'619'200 + 2 * below(random, 1'890'000'000));
    set.files.push_back({name, random_bytes(random, size), when});
  }
  for (std::size_t i = 1; i < folders.size(); ++i) {
    const bool empty = std::none_of(used.begin(), used.end(),
                                    [&](const std::string& name) { return name.starts_with(folders[i]); });
    if (empty) set.empty_folders.push_back(folders[i].substr(0, folders[i].size() - 1));
  }
  std::sort(set.files.begin(), set.files.end(), [](const File& a, const File& b) { return a.name < b.name; });
  std::sort(set.empty_folders.begin(), set.empty_folders.end());
  return set;
}

inline void expect_same(const Set& wanted, const Set& got, bool times = true) {
  ASSERT_EQ(got.files.size(), wanted.files.size());
  for (std::size_t i = 0; i < wanted.files.size(); ++i) {
    EXPECT_EQ(got.files[i].name, wanted.files[i].name);
    EXPECT_TRUE(got.files[i].bytes == wanted.files[i].bytes) << wanted.files[i].name;
    if (times) {
      EXPECT_EQ(got.files[i].modified, wanted.files[i].modified) << wanted.files[i].name;
    }
  }
  EXPECT_EQ(got.empty_folders, wanted.empty_folders);
  EXPECT_EQ(got.flaws.size(), 0U) << got.flaws.front().file << ": " << got.flaws.front().what;
}

// A disk with sectors that cannot be read.
class WornDisk final : public Disk {
 public:
  WornDisk(std::string_view bytes, std::uint64_t bad) : inner_(bytes), bad_(bad) {}
  [[nodiscard]] std::uint64_t size() const override { return inner_.size(); }
  [[nodiscard]] bool read(std::uint64_t offset, char* out, std::size_t size) const override {
    return (offset + size <= bad_ || offset >= bad_ + 512) && inner_.read(offset, out, size);
  }

 private:
  MemoryDisk inner_;
  std::uint64_t bad_;
};

// The kind of the Error that `act` throws, if any.
template <class Act>
std::optional<ErrorKind> code_of(Act&& act, std::string* what = nullptr) {
  try {
    act();
  } catch (const Error& error) {
    EXPECT_FALSE(error.remedy().empty());
    if (what != nullptr) *what = error.what();
    return error.kind();
  }
  return std::nullopt;
}

}  // namespace keepway::media
