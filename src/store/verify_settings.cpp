// Settings, hooks and remotes: what makes Git act, and is in no commit.
//
// Motivation: nobody looks there, and a hook or a setting can run a program or send backups elsewhere. So
// what stands there is written down when keepway makes a repository or is told that a change is meant, and
// an audit tells what differs. The record is `.git/keepway/settings`: path TAB content, escaped, a line a
// file, then the SHA-256 of all lines before.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

#include "keepway/sha256.hpp"
#include "keepway/state.hpp"
#include "store/disk.hpp"
#include "store/verify.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

constexpr const char* record_path = "keepway/settings";
constexpr const char* record_shown = ".git/keepway/settings";
constexpr std::size_t max_kept = 64U << 10U;  // of a larger file, only the digest is kept
constexpr std::string_view sum_mark = "sha256";

using Files = std::map<std::string, std::string>;

// Content, or the digest of a large one; links and folders stand for themselves.
void take_file(const fs::path& git_folder, const std::string& path, Files& files) {
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
  files[path] = bytes->size() <= max_kept ? *bytes : "sha256 " + sha256_hex(*bytes);
  // Whether a hook runs at all is a matter of this bit.
  if ((stat->st_mode & S_IXUSR) != 0) files[path + " (executable)"] = "yes";
}

Files standing(const fs::path& git_folder) {
  Files files;
  for (const char* path :
       {"config", "description", "commondir", "objects/info/alternates", "config.worktree"})
    take_file(git_folder, path, files);
  for (const char* folder : {"hooks", "info"}) {
    std::error_code failed;
    for (const auto& entry : fs::directory_iterator(git_folder / folder, failed)) {
      const std::string name = entry.path().filename().string();
      if (name != "refs") take_file(git_folder, std::string(folder) + "/" + name, files);
    }
  }
  return files;
}

std::string write_record(const Files& files) {
  std::string text;
  for (const auto& [path, content] : files) text += escape(path) + '\t' + escape(content) + '\n';
  return text + std::string(sum_mark) + '\t' + sha256_hex(text) + '\n';
}

std::optional<Files> read_record(const std::string& text) {
  Files files;
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
    files[*path] = std::move(*content);
    at = end + 1;
  }
  return std::nullopt;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::string section;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  std::sort(lines.begin(), lines.end());
  return lines;
}

// "gone: …; new: …" of a text file's lines, shortened.
std::string difference(const std::string& was, const std::string& is) {
  constexpr std::size_t most = 6;
  const auto old_lines = lines_of(was);
  const auto new_lines = lines_of(is);
  std::vector<std::string> told;
  const auto tell = [&](const char* how, const auto& from, const auto& against) {
    std::vector<std::string> only;
    std::set_difference(from.begin(), from.end(), against.begin(), against.end(), std::back_inserter(only));
    for (const std::string& line : only) {
      // Without its indentation; what is shown is made safe where it is shown.
      const std::size_t text = std::min(line.find_first_not_of(" \t"), line.size());
      if (told.size() < most) told.push_back(fmt::format("{} '{}'", how, line.substr(text, 100)));
    }
  };
  tell("gone", old_lines, new_lines);
  tell("new", new_lines, old_lines);
  return fmt::format("{}", fmt::join(told, ", "));
}

std::optional<std::string> record_text(const fs::path& git_folder) {
  return Folder(git_folder).read(record_path);
}

void write_settings(const fs::path& git_folder, const Files& files) {
  Folder git(git_folder);
  std::error_code failed;
  fs::create_directory(git_folder / "keepway", failed);
  const Folder staging(git_folder);
  git.write(record_path, write_record(files), false, &staging);
  sync_folder(git_folder / "keepway");
}

std::optional<std::string> content_of(const Files& files, const std::string& path) {
  const auto found = files.find(path);
  return found == files.end() ? std::nullopt : std::optional(found->second);
}

const char* const settle_remedy =
    "if that is meant, say so: keepway audit MACHINE --settle; else put it back";

}  // namespace

void verify_settings(const fs::path& git_folder, Findings& findings) {
  const auto text = record_text(git_folder);
  if (!text) {
    findings.push_back({Concern::look, "settings-unknown", record_shown,
                        "nothing is written down of Git's settings, hooks and remotes here, so no change can "
                        "be told",
                        "look at them ('git config --local --list', .git/hooks), then: keepway audit MACHINE "
                        "--settle"});
    return;
  }
  const auto record = read_record(*text);
  if (!record) {
    findings.push_back({Concern::look, "settings-unknown", record_shown,
                        "what was written down of Git's settings, hooks and remotes is damaged",
                        "look at them ('git config --local --list', .git/hooks), then: keepway audit MACHINE "
                        "--settle"});
    return;
  }
  const Files now = standing(git_folder);
  const auto shown = [](const std::string& path) { return escape(".git/" + path); };
  for (const auto& [path, content] : *record) {
    const auto found = now.find(path);
    if (found == now.end()) {
      findings.push_back({Concern::look, "settings-changed", shown(path), "it is gone", settle_remedy});
    } else if (found->second != content) {
      findings.push_back({Concern::look, "settings-changed", shown(path),
                          "it changed: " + difference(content, found->second), settle_remedy});
    }
  }
  for (const auto& [path, content] : now) {
    if (!record->contains(path)) {
      findings.push_back({Concern::look, "settings-changed", shown(path), "it is new", settle_remedy});
    }
  }
}

void remember_settings(const fs::path& git_folder) {
  write_settings(git_folder, standing(git_folder));
}

void record_change(const fs::path& git_folder, const std::function<void()>& change) {
  const auto text = record_text(git_folder);
  const auto record = text ? read_record(*text) : std::nullopt;
  if (!record) {
    change();
    return;
  }
  const Files before = standing(git_folder);
  const auto adopt = [&] {
    const Files after = standing(git_folder);
    Files meant = *record;
    for (const Files* side : {&before, &after}) {
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
  const auto text = record_text(git_folder);
  const auto record = text ? read_record(*text) : std::nullopt;
  const auto kept = record ? record->find("config") : Files::const_iterator();
  if (!record || kept == record->end()) return false;
  Folder git(git_folder);
  const Folder staging(git_folder);
  git.write("config", kept->second, false, &staging);
  return true;
}

}  // namespace keepway::store
