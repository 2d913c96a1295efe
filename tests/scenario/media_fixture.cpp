#include "media_fixture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <cstdlib>

namespace scenario {
namespace {

constexpr std::size_t fat_at = 512;
constexpr std::size_t fat_bytes = 9 * 512;
constexpr std::size_t root_at = 19 * 512;
constexpr std::size_t root_entries = 224;
constexpr std::size_t entry_bytes = 32;

unsigned byte_at(const std::string& image, std::size_t at) {
  return static_cast<unsigned char>(image.at(at));
}

void put_little_endian(std::string& image, std::size_t at, std::uint32_t value, std::size_t bytes) {
  for (std::size_t i = 0; i < bytes; ++i) image.at(at + i) = static_cast<char>((value >> (8 * i)) & 0xFFU);
}

fs::file_time_type file_time(std::int64_t seconds) {
  const std::chrono::sys_seconds at{std::chrono::seconds{seconds}};
  return std::chrono::file_clock::from_sys(at);
}

}  // namespace

Ran tool(const std::string& program, const Args& args, const fs::path& cwd) {
  const char* path = std::getenv("PATH");
  Ran ran = run(program, args, cwd,
                {{"PATH", std::string(path != nullptr ? path : "/usr/bin:/bin") + ":/usr/sbin:/sbin"}});
  EXPECT_EQ(ran.exit, 0) << program << ": " << ran.out << ran.err;
  return ran;
}

fs::path MediaTest::floppy(const std::string& name, const Tree& files, const std::string& label) {
  const fs::path image = root() / name;
  Args format = {"-C", "-F", "12"};
  if (!label.empty()) format.insert(format.end(), {"-n", label});
  format.insert(format.end(), {image.string(), "1440"});
  tool("mkfs.fat", format, root());
  const fs::path folder = root() / (name + ".files");
  write_tree(folder, files);
  for (const auto& [file, bytes] : files) {
    fs::last_write_time(folder / file, file_time(when));
    tool("mcopy", {"-m", "-i", image.string(), (folder / file).string(), "::" + file}, root());
  }
  fs::remove_all(folder);
  return image;
}

Tree in_capitals(const Tree& files) {
  Tree capitals;
  for (const auto& [name, bytes] : files) {
    std::string capital = name;
    std::transform(name.begin(), name.end(), capital.begin(),
                   [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
    capitals[capital] = bytes;
  }
  return capitals;
}

Tree MediaTest::mtools_tree(const fs::path& image) {
  const fs::path folder = root() / "mtools";
  fs::create_directory(folder);
  tool("mcopy", {"-s", "-m", "-n", "-i", image.string(), "::*", folder.string()}, root());
  Tree files = read_tree(folder);
  fs::remove_all(folder);
  return files;
}

fs::path MediaTest::stick(const std::string& name, const std::vector<std::string>& volumes,
                          std::size_t spacing) {
  std::string bytes;
  for (const std::string& volume : volumes) {
    std::string slot = volume.empty() ? std::string(floppy_bytes, '\0') : volume;
    slot.resize(spacing, '\xAA');
    bytes += slot;
  }
  write_file(root() / name, bytes);
  return root() / name;
}

void MediaTest::fsck_finds_nothing(const fs::path& image) {
  tool("fsck.fat", {"-n", image.string()}, root());
}

Untouched::Untouched(fs::path file)
    : file_(std::move(file)), bytes_(read_file(file_)), time_(fs::last_write_time(file_)) {}

Untouched::~Untouched() {
  EXPECT_TRUE(read_file(file_) == bytes_) << file_;
  EXPECT_EQ(fs::last_write_time(file_), time_) << file_;
}

unsigned fat_entry(const std::string& image, unsigned cluster) {
  const std::size_t at = fat_at + cluster * 3 / 2;
  const unsigned pair = byte_at(image, at) | (byte_at(image, at + 1) << 8U);
  return cluster % 2 == 0 ? pair & 0xFFFU : pair >> 4U;
}

void set_fat_entry(std::string& image, unsigned cluster, unsigned value, std::vector<unsigned> copies) {
  for (const unsigned copy : copies) {
    const std::size_t at = fat_at + copy * fat_bytes + cluster * 3 / 2;
    const unsigned pair = byte_at(image, at) | (byte_at(image, at + 1) << 8U);
    put_little_endian(image, at,
                      cluster % 2 == 0 ? (pair & 0xF000U) | value : (pair & 0x000FU) | (value << 4U), 2);
  }
}

std::size_t entry_of(const std::string& image, const std::string& eleven) {
  for (std::size_t i = 0; i < root_entries; ++i) {
    const std::size_t at = root_at + i * entry_bytes;
    if (image.compare(at, 11, eleven) == 0) return at;
  }
  ADD_FAILURE() << "no entry " << eleven;
  return root_at;
}

unsigned first_cluster(const std::string& image, const std::string& eleven) {
  const std::size_t at = entry_of(image, eleven) + 26;
  return byte_at(image, at) | (byte_at(image, at + 1) << 8U);
}

void set_first_cluster(std::string& image, const std::string& eleven, unsigned cluster) {
  put_little_endian(image, entry_of(image, eleven) + 26, cluster, 2);
}

void set_size(std::string& image, const std::string& eleven, std::uint32_t size) {
  put_little_endian(image, entry_of(image, eleven) + 28, size, 4);
}

}  // namespace scenario
