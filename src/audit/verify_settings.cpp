// Settings, hooks and remotes against what was written down of them.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "audit/verify.hpp"
#include "git/settings_record.hpp"
#include "keepway/text.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

constexpr const char* record_shown = ".git/keepway/settings";

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
  std::vector<std::string> found;
  const auto tell = [&](const char* how, const auto& from, const auto& against) {
    std::vector<std::string> only;
    std::set_difference(from.begin(), from.end(), against.begin(), against.end(), std::back_inserter(only));
    for (const std::string& line : only) {
      // Without its indentation; what is shown is made safe where it is shown.
      const std::size_t text = std::min(line.find_first_not_of(" \t"), line.size());
      if (found.size() < most) found.push_back(fmt::format("{} '{}'", how, line.substr(text, 100)));
    }
  };
  tell("gone", old_lines, new_lines);
  tell("new", new_lines, old_lines);
  return fmt::format("{}", fmt::join(found, ", "));
}

const char* const settle_remedy =
    "if that is intended, accept it: keepway audit MACHINE --settle; otherwise put it back";

}  // namespace

void verify_settings(const fs::path& git_folder, Findings& findings) {
  const SettingsRecord recorded = read_settings_record(git_folder);
  if (!recorded.present) {
    findings.push_back(
        {Concern::look, "settings-unknown", record_shown,
         "there is no record of Git's settings, hooks and remotes here, so no change can be seen",
         "look at them ('git config --local --list', .git/hooks), then: keepway audit MACHINE "
         "--settle"});
    return;
  }
  const std::optional<SettingsFiles>& record = recorded.files;
  if (!record) {
    findings.push_back({Concern::look, "settings-unknown", record_shown,
                        "the record of Git's settings, hooks and remotes is damaged",
                        "look at them ('git config --local --list', .git/hooks), then: keepway audit MACHINE "
                        "--settle"});
    return;
  }
  const SettingsFiles now = present_settings(git_folder);
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

}  // namespace keepway::store
