#include "restore/edits.hpp"

#include <algorithm>

#include "base/parity.hpp"

namespace keepway::restore {

Edits::Edits(const media::Set& set, const Reading& reading)
    : set_(set), reading_(reading), changes_(set.files.size()) {}

std::string_view Edits::text(std::uint32_t file) {
  const std::string& bytes = set_.files[file].bytes;
  if (!reading_.files[file].parity) return bytes;
  std::optional<std::string>& text = changes_[file].text;
  if (!text) text = without_parity(bytes);
  return *text;
}

bool Edits::replace(std::uint32_t file, std::uint64_t at, std::uint64_t length, std::string_view text) {
  Edit edit{at, length, std::string(text)};
  if (reading_.files[file].parity) {
    std::optional<std::string> bytes = with_parity(text);
    if (!bytes) return false;
    edit.bytes = *std::move(bytes);
  }
  changes_[file].edits.push_back(std::move(edit));
  return true;
}

void Edits::drop(std::uint32_t file) {
  changes_[file].drop = true;
}

void Edits::add_file(media::File file) {
  added_.push_back(std::move(file));
}

std::optional<std::string> Edits::edited(const std::string& bytes, std::vector<Edit> edits) {
  // What is put in at a place is in front of what is exchanged there.
  std::stable_sort(edits.begin(), edits.end(), [](const Edit& a, const Edit& b) {
    return std::pair(a.at, a.length > 0) < std::pair(b.at, b.length > 0);
  });
  std::string out;
  out.reserve(bytes.size());
  std::uint64_t at = 0;
  for (const Edit& edit : edits) {
    if (edit.at < at || edit.at + edit.length > bytes.size()) return std::nullopt;
    out.append(bytes, at, edit.at - at);
    out += edit.bytes;
    at = edit.at + edit.length;
  }
  out.append(bytes, at);
  return out;
}

std::optional<Edits::Result> Edits::apply() const {
  Result out;
  out.set.empty_folders = set_.empty_folders;
  out.set.flaws = set_.flaws;
  out.set.source = set_.source;
  for (std::size_t i = 0; i < set_.files.size(); ++i) {
    const media::File& file = set_.files[i];
    if (changes_[i].drop) {
      out.dropped.push_back(file.name);
      continue;
    }
    out.set.files.push_back(file);
    if (changes_[i].edits.empty()) continue;
    std::optional<std::string> bytes = edited(file.bytes, changes_[i].edits);
    if (!bytes) return std::nullopt;
    out.set.files.back().bytes = *std::move(bytes);
    out.touched.push_back(file.name);
  }
  for (const media::File& file : added_) {
    out.touched.push_back(file.name);
    out.set.files.push_back(file);
  }
  std::sort(out.set.files.begin(), out.set.files.end(),
            [](const media::File& a, const media::File& b) { return a.name < b.name; });
  std::sort(out.touched.begin(), out.touched.end());
  return out;
}

}  // namespace keepway::restore
