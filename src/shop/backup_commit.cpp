#include "shop/backup_commit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

namespace keepway {
namespace {

std::uint64_t number_in(std::string_view text) {
  std::uint64_t value = 0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

std::string write_counts(const Counts& counts) {
  std::string out;
  std::size_t unread = 0;
  for (const Group group : all_groups) {
    out += fmt::format("{}={} ", group_name(group), counts.items[static_cast<std::size_t>(group)]);
    unread += counts.unread[static_cast<std::size_t>(group)];
  }
  return out + fmt::format("unread={} files={} bytes={}", unread, counts.files, counts.bytes);
}

Counts read_counts(std::string_view text) {
  Counts counts;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    const std::string_view pair = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t equals = pair.find('=');
    if (equals == std::string_view::npos) continue;
    const std::string_view name = pair.substr(0, equals);
    const std::uint64_t value = number_in(pair.substr(equals + 1));
    if (const auto group = parse_group(name)) counts.items[static_cast<std::size_t>(*group)] = value;
    if (name == "files") counts.files = value;
    if (name == "bytes") counts.bytes = value;
  }
  return counts;
}

}  // namespace

std::optional<Backup> backup_from_commit(const store::CommitInfo& info) {
  const std::string_view number = info.trailer("Keepway-Backup");
  if (number.empty() || info.rewritten) return std::nullopt;
  Backup backup;
  backup.trial = info.trailer("Keepway-On-Trial");
  backup.commit = info.id;
  backup.number = static_cast<int>(std::min<std::uint64_t>(number_in(number), 1'000'000'000));
  backup.at = info.at;
  backup.taken = info.taken;
  backup.who = info.author;
  backup.note = info.body;
  const std::size_t colon = info.summary.find(": ");
  backup.gist = colon == std::string::npos ? info.summary : info.summary.substr(colon + 2);
  backup.source = info.trailer("Keepway-Source");
  backup.digest = info.trailer("Keepway-Digest");
  backup.worth = parse_worth(info.trailer("Keepway-Verdict")).value_or(Worth::doubtful);
  backup.accepted = info.trailer("Keepway-Accepted") == "yes";
  backup.kept = info.trailer("Keepway-Kept");
  backup.confirms = info.trailer("Keepway-Confirms");
  backup.confirmed = info.trailer("Keepway-Confirmed") == "yes";
  backup.remedy = info.trailer("Keepway-Remedy");
  backup.counts = read_counts(info.trailer("Keepway-Counts"));
  backup.reader =
      static_cast<int>(std::min<std::uint64_t>(number_in(info.trailer("Keepway-Reader")), 1'000'000));
  for (const auto& [name, value] : info.trailers) {
    if (name == "Keepway-Reason") backup.reasons.push_back(value);
  }
  return backup;
}

store::NewCommit commit_for_backup(const Backup& backup) {
  store::NewCommit commit;
  const bool merge = !backup.kept.empty();
  commit.summary =
      fmt::format("{}: {}",
                  merge                   ? fmt::format("Trial {} kept", backup.kept)
                  : !backup.trial.empty() ? fmt::format("Trial {}, backup {}", backup.trial, backup.number)
                                          : fmt::format("Backup {}", backup.number),
                  backup.gist);
  commit.body = backup.note;
  commit.author = backup.who;
  commit.at = backup.at;
  commit.taken = backup.taken;
  commit.trailers = {{"Keepway-Backup", backup.number > 0 ? std::to_string(backup.number) : "none"},
                     {"Keepway-Source", backup.source},
                     {"Keepway-Digest", backup.digest},
                     {"Keepway-Verdict", std::string(worth_name(backup.worth))}};
  for (const std::string& reason : backup.reasons) commit.trailers.emplace_back("Keepway-Reason", reason);
  if (!backup.remedy.empty()) commit.trailers.emplace_back("Keepway-Remedy", backup.remedy);
  if (backup.accepted) commit.trailers.emplace_back("Keepway-Accepted", "yes");
  if (!backup.confirms.empty()) {
    commit.trailers.emplace_back("Keepway-Confirms", backup.confirms);
    commit.trailers.emplace_back("Keepway-Confirmed", backup.confirmed ? "yes" : "no");
  }
  if (!backup.kept.empty()) commit.trailers.emplace_back("Keepway-Kept", backup.kept);
  if (!backup.trial.empty()) commit.trailers.emplace_back("Keepway-On-Trial", backup.trial);
  commit.trailers.emplace_back("Keepway-Counts", write_counts(backup.counts));
  commit.trailers.emplace_back("Keepway-Reader", std::to_string(backup.reader));
  return commit;
}

std::string same_files_as(const Backup& other) {
  return other.trial.empty() ? fmt::format("the same files as backup {}", other.number)
                             : "the same files as " + name_of(other);
}

std::uint32_t number_on_main(const Backup& backup) {
  return backup.trial.empty() ? static_cast<std::uint32_t>(backup.number) : 0;
}

int next_number(const store::Repository& repository, const std::optional<store::Oid>& onto,
                const std::string& trial) {
  int number = 0;
  if (!onto) return 1;
  repository.walk(*onto, [&](const store::CommitInfo& info) {
    const auto backup = backup_from_commit(info);
    if (!backup) return true;
    if (trial.empty()) number = static_cast<int>(number_on_main(*backup));
    if (trial.empty()) return number == 0;  // merges are passed over
    if (backup->trial == trial) number = backup->number;
    return false;
  });
  return number + 1;
}

bool is_lost(const store::Repository& repository, const store::Oid& commit) {
  if (repository.has(commit)) return false;
  try {
    (void)repository.info(commit);  // it may have come since the repository was opened
    return false;
  } catch (const Error&) {
    (void)repository.past(commit);
    return true;
  }
}

store::Oid tip_in_force(const store::Repository& repository) {
  if (const auto tip = repository.tip()) return *tip;
  throw Error(ErrorKind::store,
              fmt::format("the newest backup in {} cannot be found", escape(repository.folder().string())),
              "run 'git fsck' in that folder; if it is damaged, put a clone in its place");
}

std::optional<Backup> newest_from(const store::Repository& repository, const store::Oid& commit) {
  std::optional<Backup> found;
  repository.walk(commit, [&](const store::CommitInfo& info) {
    found = backup_from_commit(info);
    return !found;
  });
  return found;
}

}  // namespace keepway
