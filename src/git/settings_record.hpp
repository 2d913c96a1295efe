// Git's settings, hooks and remotes as they are meant to be: what makes Git act, and is in no commit.
//
// Motivation: nobody looks there, and a hook or a setting can run a program or send backups elsewhere. So
// their content is written down when keepway makes a repository or a person says that a change is meant, and
// an audit reports what differs. The record is `.git/keepway/settings`: path TAB content, escaped, a line a
// file, then the SHA-256 of all lines before.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>

namespace keepway::store {

// Content by path below the Git folder, or the digest of a large file.
using SettingsFiles = std::map<std::string, std::string>;

struct SettingsRecord {
  bool present = false;
  std::optional<SettingsFiles> files;  // nullopt when it is damaged or absent
};
SettingsRecord read_settings_record(const std::filesystem::path& git_folder);
// What is there now.
SettingsFiles present_settings(const std::filesystem::path& git_folder);

// Writes down what is there now as meant. Error{store}.
void remember_settings(const std::filesystem::path& git_folder);
// Makes a change that is meant, and writes down what it changed: what differed before is still reported, and
// so is all of a repository without a record. For one who holds the lock.
void record_change(const std::filesystem::path& git_folder, const std::function<void()>& change);
// Puts the configuration back as it was written down. False when there is no whole record.
bool restore_configuration(const std::filesystem::path& git_folder);

}  // namespace keepway::store
