// What keepway could find out again and keeps to be quick: the index of item changes, ids of blobs, readings,
// what walking a line found. One folder, `.git/keepway/cache`. A file there is a list of records, each with a
// sum over it, so that what a crash, a bad disk or another program at the same file leaves counts as absent.
// Nothing is synced, and nothing here fails: without a file all is found out again.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace keepway {

class Cache {
 public:
  explicit Cache(const std::filesystem::path& git_folder) : folder_(git_folder / "keepway" / "cache") {}

  // The sound records of one file, in their order. Holds their bytes.
  class Records {
   public:
    [[nodiscard]] std::size_t size() const { return places_.size(); }
    [[nodiscard]] std::string_view operator[](std::size_t i) const {
      return std::string_view(bytes_).substr(places_[i].first, places_[i].second);
    }
    // Whether there is nothing in the file but sound records.
    [[nodiscard]] bool whole() const { return whole_; }

   private:
    friend class Cache;
    std::string bytes_;
    std::vector<std::pair<std::size_t, std::size_t>> places_;
    bool whole_ = true;
  };
  [[nodiscard]] Records records(const std::string& name) const noexcept;
  // Of a file of one record: nullopt when it is absent or damaged.
  [[nodiscard]] std::optional<std::string> get(const std::string& name) const noexcept;
  // Whether the file is absent or whole.
  [[nodiscard]] bool verify(const std::string& name) const noexcept;

  void put(const std::string& name, std::string_view record) const noexcept;
  void put(const std::string& name, const std::vector<std::string_view>& records) const noexcept;
  void append(const std::string& name, std::string_view record) const noexcept;
  void drop(const std::string& name) const noexcept;

 private:
  void write(const std::string& name, std::string_view bytes, bool at_end) const;
  std::filesystem::path folder_;
};

}  // namespace keepway
