// What the add()s of a series have made, and nobody else sees before it lands.
//
// Motivation: a drawer holds thousands of backups. Each by itself costs a pack, its syncs, a move of the line
// and a work tree brought up to date; together they need all that once, and lie as deltas at once.
#pragma once

#include <git2/sys/mempack.h>

#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "git/lock.hpp"
#include "git/objects.hpp"
#include "store/impl.hpp"

namespace keepway::store {

class Series {
 public:
  Series(git_odb_backend& memory, const std::filesystem::path& git_folder)
      : memory_(memory), lock_(git_folder) {}
  Series(const Series&) = delete;
  Series& operator=(const Series&) = delete;
  Series(Series&&) = delete;
  Series& operator=(Series&&) = delete;
  ~Series() { git_mempack_reset(&memory_); }

  // Where the series is on its one line. Error{usage} for another line than that of the first add().
  [[nodiscard]] std::optional<git_oid> tip(const std::string& ref) const;
  // Id that a file had in the add() before, when its bytes are the same.
  [[nodiscard]] const git_oid* same_as_before(const TreeFile& file) const;
  void remember(const TreeFile& file, const git_oid& id);

  // What the line has where the series begins.
  void begin_with(Ids held) { held_ = std::move(held); }
  // Whether an object is there for as long as the series takes.
  [[nodiscard]] bool has(const git_oid& id) const { return ids_.contains(id) || held_.contains(id); }

  void take(ObjectBatch& batch);
  // The line is at `id` now; before the first, at `before`.
  void moved(const std::string& ref, const std::optional<git_oid>& before, const git_oid& id,
             std::string reason, const std::vector<std::string>& replaced);

  struct Landing {
    std::string ref;
    std::optional<git_oid> before;
    git_oid tip{};
    std::string reason;
    std::vector<std::string> replaced;
  };
  [[nodiscard]] const std::optional<Landing>& landing() const { return landing_; }
  // Of the files of the last add(), and more: contents, and sums in the same order where they are known.
  [[nodiscard]] std::vector<std::string_view> contents() const;
  [[nodiscard]] std::vector<std::optional<Sha256>> sums() const;
  [[nodiscard]] const Ids& ids() const { return ids_; }
  [[nodiscard]] std::size_t bytes() const { return bytes_; }

 private:
  struct File {
    std::string bytes;
    std::optional<Sha256> sum;
    git_oid id{};
  };
  git_odb_backend& memory_;  // the object store's
  Lock lock_;
  Ids ids_;
  Ids held_;  // what the line had where it began
  std::size_t bytes_ = 0;
  std::unordered_map<std::string, File> files_;
  std::optional<Landing> landing_;
};

}  // namespace keepway::store
