// Files below originals/ of a tree, put together again as they came off the control.
#pragma once

#include <algorithm>
#include <string>
#include <utility>

#include "keepway/originals.hpp"
#include "keepway/store.hpp"

namespace keepway {

// `path_of` gives a file's path in the tree, `read` its bytes; files come out sorted by name, as media gives
// them.
template <class Files, class PathOf, class Read>
media::Set stored_set(const Files& files, const PathOf& path_of, const Read& read) {
  media::Set set;
  for (const auto& file : files) {
    std::string empty_folder;
    if (auto name = original_name(path_of(file), &empty_folder)) {
      set.files.push_back({std::move(*name), read(file)});
    } else {
      set.empty_folders.push_back(std::move(empty_folder));
    }
  }
  std::sort(set.files.begin(), set.files.end(),
            [](const media::File& a, const media::File& b) { return a.name < b.name; });
  return set;
}

// All of a commit.
inline media::Set originals_at(const store::Repository& repository, const store::Oid& commit) {
  return stored_set(
      repository.list(commit, "originals/"), [](const store::Blob& blob) { return blob.path; },
      [&](const store::Blob& blob) { return repository.read(blob.id); });
}

}  // namespace keepway
