// Any bytes as what a remote sends: a tree, a commit, a mark, a ref's name. What passes as harmless leads
// nowhere out of the folder, by a look of its own at it.
#include <algorithm>
#include <string>
#include <string_view>

#include "git/form.hpp"
#include "git/path.hpp"
#include "git/raw_object.hpp"
#include "require.hpp"

namespace {

using keepway::fuzz::require;

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

// Says less than the product's own check, and says it otherwise.
void require_confined(std::string_view path) {
  require(!path.empty() && path.front() != '/' && path.find('\0') == std::string_view::npos);
  std::string all = lower(path);
  for (std::size_t at = 0; at <= all.size();) {
    const std::size_t end = std::min(all.find_first_of("/\\", at), all.size());
    std::string part = all.substr(at, end - at);
    require(part != "..");
    part.resize(part.find_last_not_of(". ") == std::string::npos ? 0 : part.find_last_not_of(". ") + 1);
    require(part != ".git" && part != "git~1" && !part.starts_with(".git:") && part != ".gitmodules");
    at = end + 1;
  }
  require(all.find("//") == std::string::npos);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  using namespace keepway::store;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);

  if (!harm_in_tree(bytes, "originals/")) {
    std::string again;
    const auto entries = parse_tree(bytes);
    require(entries.has_value());
    for (const RawEntry& entry : *entries) {
      require(entry.mode == "40000" || entry.mode == "100644");
      require(entry.name.find('/') == std::string::npos);
      require_confined("originals/" + entry.name);
      again += entry.mode + ' ' + entry.name + '\0';
      again.append(reinterpret_cast<const char*>(entry.id.id), sizeof entry.id.id);
    }
    require(again == bytes);
  }
  (void)harm_in_tree(bytes, "");
  if (!harm_in_commit(bytes)) {
    const auto commit = parse_commit(git_oid{}, bytes);
    require(commit && commit->info.at >= 0 && commit->info.taken >= 0);
  }
  if (!harm_in_tag(bytes)) require(parse_tag(bytes).has_value());
  if (path_fault(bytes) == nullptr) require_confined(bytes);
  if (harm_in_ref("refs/heads/trial/" + std::string(bytes)) == nullptr) require_confined(bytes);
  return 0;
}
