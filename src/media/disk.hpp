// Where a volume's bytes are: in memory, in an image file, or on a block device.
//
// Motivation: everything about volumes is tested in memory, and a sector that a worn stick cannot give
// any more is an answer (false), not the end of the reading.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string_view>

#include "media/system.hpp"

namespace keepway::media {

class Disk {
 public:
  Disk() = default;
  Disk(const Disk&) = delete;
  Disk& operator=(const Disk&) = delete;
  virtual ~Disk() = default;

  [[nodiscard]] virtual std::uint64_t size() const = 0;

  // Fills `out` with the `size` bytes at `offset`; false when they are not there or cannot be read, and
  // then `out` is undefined.
  [[nodiscard]] virtual bool read(std::uint64_t offset, char* out, std::size_t size) const = 0;

  // The same as a string.
  [[nodiscard]] bool read(std::uint64_t offset, std::size_t size, std::string& out) const;
};

// Bytes that the caller keeps alive.
class MemoryDisk final : public Disk {
 public:
  explicit MemoryDisk(std::string_view bytes) : bytes_(bytes) {}
  using Disk::read;
  [[nodiscard]] std::uint64_t size() const override { return bytes_.size(); }
  [[nodiscard]] bool read(std::uint64_t offset, char* out, std::size_t size) const override;

 private:
  std::string_view bytes_;
};

// An image file or a block device. Error{input} when it cannot be opened (Error{store} to write).
class FileDisk final : public Disk {
 public:
  enum class Use { read, write };
  FileDisk(std::filesystem::path path, Use use);

  using Disk::read;
  [[nodiscard]] std::uint64_t size() const override { return size_; }
  [[nodiscard]] bool read(std::uint64_t offset, char* out, std::size_t size) const override;

  [[nodiscard]] bool is_device() const { return device_; }
  // Whether the file was changed by someone since it was opened.
  [[nodiscard]] bool changed() const;

  // Error{store} when the disk refuses. The offset must lie inside.
  void write(std::uint64_t offset, std::string_view bytes);
  // Syncs, and drops what the system holds in memory, so that the next read comes from the disk.
  void sync();

 private:
  std::filesystem::path path_;
  Fd fd_;
  std::uint64_t size_ = 0;
  bool device_ = false;
  std::int64_t modified_[2] = {0, 0};
};

}  // namespace keepway::media
