#include "git/settings_record.hpp"

#include "base/password.hpp"
#include "git/folder.hpp"
#include "keepway/sha256.hpp"
#include "keepway/text.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

constexpr const char* record_path = "keepway/settings";
constexpr std::size_t max_kept = 64U << 10U;  // of a larger file, only the digest is kept
constexpr std::string_view sum_mark = "sha256";

// Content, or the digest of a large one; links and folders stand for themselves.
void take_file(const fs::path& git_folder, const std::string& path, SettingsFiles& files) {
  Folder git(git_folder);
  const auto stat = git.look(path);
  if (!stat) return;
  if (S_ISLNK(stat->st_mode)) {
    std::error_code failed;
    files[path] = "link to " + fs::read_symlink(git_folder / path, failed).string();
    return;
  }
  const auto bytes = git.read(path);
  if (!bytes) return;
  files[path] = bytes->size() <= max_kept ? without_passwords(*bytes) : "sha256 " + sha256_hex(*bytes);
  // Whether a hook runs at all is a matter of this bit.
  if ((stat->st_mode & S_IXUSR) != 0) files[path + " (executable)"] = "yes";
}

std::string write_record(const SettingsFiles& files) {
  std::string text;
  for (const auto& [path, content] : files) text += escape(path) + '\t' + escape(content) + '\n';
  return text + std::string(sum_mark) + '\t' + sha256_hex(text) + '\n';
}

std::optional<SettingsFiles> read_record(const std::string& text) {
  SettingsFiles files;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = text.find('\n', at);
    const std::size_t tab = text.find('\t', at);
    if (end == std::string::npos || tab == std::string::npos || tab > end) return std::nullopt;
    const std::string name = text.substr(at, tab - at);
    const std::string value = text.substr(tab + 1, end - tab - 1);
    if (name == sum_mark) {
      return end + 1 == text.size() && value == sha256_hex(text.substr(0, at)) ? std::optional(files)
                                                                               : std::nullopt;
    }
    const auto path = unescape(name);
    auto content = unescape(value);
    if (!path || !content) return std::nullopt;
    files[*path] = without_passwords(*content);  // of an older record
    at = end + 1;
  }
  return std::nullopt;
}

void write_settings(const fs::path& git_folder, const SettingsFiles& files) {
  Folder git(git_folder);
  std::error_code failed;
  fs::create_directory(git_folder / "keepway", failed);
  const Folder staging(git_folder);
  git.write(record_path, write_record(files), false, &staging);
  sync_folder(git_folder / "keepway");
}

std::optional<std::string> content_of(const SettingsFiles& files, const std::string& path) {
  const auto found = files.find(path);
  return found == files.end() ? std::nullopt : std::optional(found->second);
}

// What Git derives for servers, in .git/info: the list of refs, and while it is written refs_XXXXXX
// (git-update-server-info(1); the second name as seen on disk).
bool is_list_of_refs(std::string_view name) {
  constexpr std::string_view being_written = "refs_";
  return name == "refs" || (name.starts_with(being_written) && name.size() == being_written.size() + 6);
}

}  // namespace

SettingsRecord read_settings_record(const fs::path& git_folder) {
  const auto text = Folder(git_folder).read(record_path);
  if (!text) return {};
  return {true, read_record(*text)};
}

SettingsFiles present_settings(const fs::path& git_folder) {
  SettingsFiles files;
  for (const char* path :
       {"config", "description", "commondir", "objects/info/alternates", "config.worktree"})
    take_file(git_folder, path, files);
  for (const char* folder : {"hooks", "info"}) {
    std::error_code failed;
    for (const auto& entry : fs::directory_iterator(git_folder / folder, failed)) {
      const std::string name = entry.path().filename().string();
      if (!is_list_of_refs(name)) take_file(git_folder, std::string(folder) + "/" + name, files);
    }
  }
  return files;
}

void remember_settings(const fs::path& git_folder) {
  write_settings(git_folder, present_settings(git_folder));
}

void record_change(const fs::path& git_folder, const std::function<void()>& change) {
  const auto record = read_settings_record(git_folder).files;
  if (!record) {
    change();
    return;
  }
  const SettingsFiles before = present_settings(git_folder);
  const auto adopt = [&] {
    const SettingsFiles after = present_settings(git_folder);
    SettingsFiles meant = *record;
    for (const SettingsFiles* side : {&before, &after}) {
      for (const auto& [path, content] : *side) {
        const auto was = content_of(before, path);
        const auto now = content_of(after, path);
        if (was == now || content_of(*record, path) != was) continue;
        if (now) {
          meant[path] = *now;
        } else {
          meant.erase(path);
        }
      }
    }
    if (meant != *record) write_settings(git_folder, meant);
  };
  try {
    change();
  } catch (...) {
    adopt();  // as far as it came
    throw;
  }
  adopt();
}

bool restore_configuration(const fs::path& git_folder) {
  const auto record = read_settings_record(git_folder).files;
  const auto kept = record ? record->find("config") : SettingsFiles::const_iterator();
  if (!record || kept == record->end()) return false;
  Folder git(git_folder);
  const Folder staging(git_folder);
  git.write("config", kept->second, false, &staging);
  return true;
}

}  // namespace keepway::store
