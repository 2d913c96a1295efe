#include "git/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "git/attributes.hpp"
#include "git/path.hpp"
#include "git/raw_object.hpp"
#include "keepway/text.hpp"

namespace keepway::store {
namespace {

constexpr std::string_view folder_mode = "40000";
constexpr std::string_view file_mode = "100644";
constexpr std::size_t max_entries = 1'000'000;     // of one commit, its folders among them
constexpr std::int64_t year_10000 = 253402300800;  // seconds since 1970

Harm harm(std::string_view path, std::string what) {
  return {escape(path.substr(0, 300)), std::move(what)};
}

// Git sorts a folder as if its name ended with '/' (Git's tree.c, base_name_compare).
std::string order_of(const RawEntry& entry) {
  return entry.mode == folder_mode ? entry.name + '/' : entry.name;
}

bool is_own_attributes_blob(const git_oid& id) {
  static const Ids own = [] {
    Ids ids;
    for (const std::string_view text : {std::string_view(), attributes, first_attributes}) {
      git_oid one{};
      check(git_odb_hash(&one, text.data(), text.size(), GIT_OBJECT_BLOB), "hash a text");
      ids.insert(one);
    }
    return ids;
  }();
  return own.contains(id);
}

// HEAD, FETCH_HEAD, ORIG_HEAD and their like (gitrevisions(7)).
bool is_head(std::string_view name) {
  return name == "@" || (name.ends_with("HEAD") && std::all_of(name.begin(), name.end(), [](char c) {
                           return (c >= 'A' && c <= 'Z') || c == '_';
                         }));
}

bool is_time(std::int64_t time) {
  return time >= 0 && time < year_10000;
}

}  // namespace

std::optional<Harm> harm_in_entry(std::string_view path, std::string_view mode) {
  if (const char* fault = path_fault(path)) return harm(path, fault);
  if (mode == folder_mode || mode == file_mode) return std::nullopt;
  const char* const kind = mode == "120000"   ? "it is a symbolic link"
                           : mode == "160000" ? "it is a repository of its own (a submodule)"
                                              : "it is not a plain file";
  return harm(path,
              fmt::format("{} (mode {}, where files have {})", kind, escape(mode.substr(0, 20)), file_mode));
}

std::optional<Harm> harm_in_tree(std::string_view bytes, std::string_view path) {
  const auto entries = parse_tree(bytes);
  if (!entries) return harm(path, "its tree cannot be read");
  std::set<std::string_view> names;
  std::string last;
  for (const RawEntry& entry : *entries) {
    const std::string whole = std::string(path) + entry.name;
    if (auto found = harm_in_entry(whole, entry.mode)) return found;
    if (entry.name.find('/') != std::string::npos) return harm(whole, "a name holds '/'");
    std::string order = order_of(entry);
    if (!names.insert(entry.name).second) return harm(whole, "it is there twice");
    if (order < last) return harm(whole, "it is out of order");
    last = std::move(order);
    if (whole == attributes_path && !is_own_attributes_blob(entry.id))
      return harm(
          whole,
          "it is not as keepway writes it: other attributes would make Git change originals on checkout");
  }
  return std::nullopt;
}

std::optional<Harm> harm_in_commit(std::string_view bytes) {
  if (bytes.size() > max_message) return harm("", "the commit is over 1 MiB");
  if (bytes.find('\0') != std::string_view::npos) return harm("", "the commit holds a NUL byte");
  const auto parsed = parse_commit(git_oid{}, bytes);
  if (!parsed) return harm("", "the commit cannot be read");
  if (!is_time(parsed->info.at) || !is_time(parsed->info.taken))
    return harm("", "the commit has a date that is not between 1970 and 9999");
  return std::nullopt;
}

std::optional<Harm> harm_in_tag(std::string_view bytes) {
  if (bytes.size() > max_message) return harm("", "the mark is over 1 MiB");
  if (bytes.find('\0') != std::string_view::npos) return harm("", "the mark holds a NUL byte");
  if (!parse_tag(bytes)) return harm("", "the mark cannot be read");
  return std::nullopt;
}

const char* harm_in_ref(const std::string& ref) {
  constexpr std::size_t longest_part = 250;  // and ".lock" behind it
  constexpr std::size_t longest = 1000;
  int valid = 0;
  if (ref.size() > longest) return "its name is too long";
  start_library();  // it knows Git's rules for names
  if (ref.find('\0') != std::string::npos || git_reference_name_is_valid(&valid, ref.c_str()) != 0 ||
      valid == 0) {
    return "Git could not hold its name";
  }
  std::string_view rest = ref;
  for (const std::string_view kind : {"refs/heads/", "refs/tags/", "refs/keepway/archive/"}) {
    if (!rest.starts_with(kind)) continue;
    rest.remove_prefix(kind.size());
    break;
  }
  if (parse_hex(rest)) return "its name could be taken for a commit's id";
  for (bool first = true; !rest.empty(); first = false) {
    const std::size_t end = std::min(rest.find('/'), rest.size());
    const std::string_view part = rest.substr(0, end);
    rest.remove_prefix(std::min(end + 1, rest.size()));
    if (part.size() > longest_part) return "its name is too long";
    if (part.starts_with('-')) return "its name could be taken for an option";
    if (part_fault(part, false) != nullptr) return "its name is one of Git's own";
    if (is_head(part) || (first && part == "refs")) return "its name could be taken for another ref";
  }
  return nullptr;
}

FormCheck::FormCheck(git_repository& repo, Contents contents)
    : odb_(take<OdbHandle>("open the objects", git_repository_odb, &repo)), contents_(contents) {}

// nullopt when it is not there, is damaged or larger than `most`.
std::optional<FormCheck::Object> FormCheck::read(const git_oid& id, std::size_t most) {
  std::size_t size = 0;
  git_object_t type = GIT_OBJECT_INVALID;
  if (git_odb_read_header(&size, &type, odb_.get(), &id) != 0 || size > most) return std::nullopt;
  git_odb_object* raw = nullptr;
  if (git_odb_read(&raw, odb_.get(), &id) != 0) return std::nullopt;
  const OdbObjectHandle object(raw);
  return Object{git_odb_object_type(raw),
                std::string(static_cast<const char*>(git_odb_object_data(raw)), git_odb_object_size(raw))};
}

std::optional<Harm> FormCheck::blob(const git_oid& id, const std::string& path) {
  if (contents_ == Contents::trusted || blobs_.contains(id)) return std::nullopt;
  std::size_t size = 0;
  git_object_t type = GIT_OBJECT_INVALID;
  if (git_odb_read_header(&size, &type, odb_.get(), &id) != 0) return harm(path, "its content is missing");
  if (type != GIT_OBJECT_BLOB) return harm(path, "it names no file's content");
  if (size > max_file) return harm(path, "it is larger than any file that a backup may have");
  blobs_.insert(id);
  return std::nullopt;
}

std::optional<Harm> FormCheck::tree(const git_oid& root) {
  std::vector<std::pair<std::string, git_oid>> queue{{"", root}};
  std::size_t entries = 0;
  while (!queue.empty()) {
    const auto [path, id] = std::move(queue.back());
    queue.pop_back();
    if (harmless_.contains({path, oid_text(id)})) continue;
    const auto found = read(id, max_tree_bytes);
    if (!found || found->type != GIT_OBJECT_TREE)
      return harm(path, "its tree is missing, damaged or too large");
    if (auto bad = harm_in_tree(found->bytes, path)) return bad;
    const auto rows = parse_tree(found->bytes);
    entries += rows->size() + 1;
    if (entries > max_entries) return harm(path, fmt::format("there are more than {} files", max_entries));
    for (const RawEntry& entry : *rows) {
      if (entry.folder) {
        queue.emplace_back(path + entry.name + '/', entry.id);
      } else if (auto bad = blob(entry.id, path + entry.name)) {
        return bad;
      }
    }
    // Those below may still be harmful; then nothing of this is asked again.
    harmless_.emplace(path, oid_text(id));
  }
  return std::nullopt;
}

std::optional<Harm> FormCheck::commit(const git_oid& id) {
  const auto found = read(id, max_message);
  if (!found) return harm("", "the commit is missing, damaged or over 1 MiB");
  if (found->type != GIT_OBJECT_COMMIT) return harm("", "it is not a commit");
  if (auto bad = harm_in_commit(found->bytes)) return bad;
  return tree(parse_commit(id, found->bytes)->tree);
}

std::optional<Harm> FormCheck::tag(const git_oid& id) {
  git_oid at = id;
  for (std::size_t steps = 0; steps <= max_tags; ++steps) {
    const auto found = read(at, max_message);
    if (!found) return harm("", "what it names is missing, damaged or over 1 MiB");
    if (found->type == GIT_OBJECT_COMMIT) return std::nullopt;
    if (found->type != GIT_OBJECT_TAG) return harm("", "it names no commit");
    if (auto bad = harm_in_tag(found->bytes)) return bad;
    at = parse_tag(found->bytes)->target;
  }
  return harm("", "it names a mark of a mark of a mark");
}

}  // namespace keepway::store
