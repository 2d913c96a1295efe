// Whether each backup still is what it was: its originals by their digest, its state by making it again.
#include <fmt/format.h>

#include <algorithm>
#include <cstring>
#include <map>
#include <set>
#include <utility>

#include "audit/audit.hpp"
#include "git/sha1.hpp"
#include "keepway/sha256.hpp"
#include "keepway/trial.hpp"
#include "reader/read_set.hpp"
#include "shop/backup.hpp"
#include "shop/digest.hpp"
#include "shop/read_as.hpp"
#include "shop/stored_set.hpp"

namespace keepway::audits {
namespace {

using store::oid_text;

constexpr std::string_view originals_prefix = "originals/";
constexpr std::string_view state_prefix = "state/";

class Checker {
 public:
  Checker(const store::Objects& objects, History& history, Audit& audit)
      : objects_(objects), history_(history), audit_(audit) {}

  void check(const Stored& stored) {
    if (!history_.whole_below(stored.tree, originals_prefix)) return;  // reported already, by its objects
    check_digest(stored);
    check_rebased(stored);
    if (!history_.whole_below(stored.tree, state_prefix)) return;
    try {
      check_state(stored);
    } catch (const Error& error) {
      tell(stored, Concern::look, "state-not-made", "",
           fmt::format("its state could not be rebuilt from its originals: {}", error.what()),
           error.remedy());
    }
  }

 private:
  void tell(const Stored& stored, Concern concern, const char* code, const std::string& where,
            const std::string& what, const std::string& remedy) {
    // One cause, one finding: later backups of the same join it.
    for (Finding& finding : audit_.findings) {
      if (finding.code == code && finding.what == what && finding.where == where) {
        finding.backups.push_back(stored.name);
        return;
      }
    }
    audit_.findings.push_back({concern, code, where, what, remedy, {stored.name}});
  }

  void check_digest(const Stored& stored) {
    ++audit_.backups;
    std::vector<SummedFile> files;
    std::vector<std::string> empty_folders;
    for (const TreeFile& file : history_.files(stored.tree, std::string(originals_prefix))) {
      std::string empty_folder;
      if (auto name = original_name(file.path, &empty_folder)) {
        files.push_back({std::move(*name), hex(sum_of(file.id))});
      } else {
        empty_folders.push_back(std::move(empty_folder));
      }
    }
    const std::string digest = digest_of(files, empty_folders);
    if (digest == stored.backup.digest) return;
    tell(stored, Concern::damage, "digest-differs", "originals/",
         fmt::format("the originals have the digest {}, and {} was stored with them", digest.substr(0, 16),
                     escape(stored.backup.digest.substr(0, 16))),
         "the commit was rewritten by another program: compare it with a clone's");
  }

  // A backup that a sync rebased holds the originals of the one that it stands for.
  void check_rebased(const Stored& stored) {
    const auto from = store::parse_hex(stored.commit->info.trailer("Keepway-Laid-From"));
    const store::RawCommit* rebased = from ? history_.commit(*from) : nullptr;
    const auto backup = rebased != nullptr ? backup_from_commit(rebased->info) : std::nullopt;
    if (!backup || backup->digest == stored.backup.digest) return;
    tell(stored, Concern::damage, "rebased-differs", "originals/",
         fmt::format("a sync rebased it from {}, which has other originals", oid_text(*from)),
         "one of the two commits was rewritten by another program: compare them with a clone's");
  }

  std::string text_at(const git_oid& tree, const std::string& path) const {
    const auto id = history_.at(tree, path);
    if (!id || !objects_.whole(*id)) {
      throw Error(ErrorKind::store, path + " of that time is damaged", "repair the objects first");
    }
    return objects_.read(*id);
  }

  // From one backup to the next most files are the same: they are read once, as long as they come.
  const std::string& original(const git_oid& id) {
    const auto [known, fresh] = coming_.try_emplace(id);
    if (!fresh) return known->second;
    const auto before = held_.find(id);
    known->second = before != held_.end() ? std::move(before->second) : objects_.read(id);
    return known->second;
  }

  const Sha256& sum_of(const git_oid& id) {
    const auto [known, fresh] = sums_.try_emplace(id);
    if (fresh) known->second = sha256(original(id));
    return known->second;
  }

  // With the layout, serial and units of that time. Valid until the next.
  const State& derive(const store::RawCommit& commit) {
    const auto originals = history_.at(commit.tree, "originals");
    const auto text = [](const std::optional<git_oid>& id) { return id ? oid_text(*id) : std::string(); };
    const std::string reader =
        text(history_.at(commit.tree, "layout.toml")) + text(history_.at(commit.tree, "machine.toml"));
    const std::string key = text(originals) + reader;
    if (last_ && last_->first == key) return last_->second;
    if (!read_by_ || read_by_->key != reader) {
      const ReadAs as = read_as(text_at(commit.tree, "layout.toml"), text_at(commit.tree, "machine.toml"));
      read_by_.emplace(ReadBy{reader, parse_layout(as.layout, "layout.toml"), as.context, {}});
    }
    std::map<std::string, git_oid> ids;  // by the name as received
    const media::Set set = stored_set(
        history_.files(commit.tree, std::string(originals_prefix)),
        [&](const TreeFile& file) {
          if (auto name = original_name(file.path, nullptr)) ids[std::move(*name)] = file.id;
          return file.path;
        },
        [&](const TreeFile& file) { return original(file.id); });
    std::vector<Sha256> sums;
    for (const media::File& file : set.files) sums.push_back(sum_of(ids.at(file.name)));
    held_ = std::exchange(coming_, {});
    last_ = {key, read_set(set, read_by_->layout, read_by_->context, &read_by_->memory, sums).state};
    ++audit_.derived;
    return last_->second;
  }

  // Most files of a state are as in the backup before: their ids are known. A plain SHA-1 does: what it is
  // compared with is the id of an object that was verified.
  git_oid id_of(const StateFile& file) {
    auto& [content, id] = hashed_[file.path];
    if (content.empty() || !(content == file.content)) {
      store::Sha1 sum;
      sum.put(fmt::format("blob {}{}", file.content.size(), '\0'));
      sum.put(file.content);
      std::memcpy(id.id, sum.finish().data(), sizeof id.id);
      content = file.content;
    }
    return id;
  }

  // What the state of a kept trial should be: what its own commit's originals give (main's, when it was
  // kept), and each carried item from its carrier.
  State derive_kept(const Stored& stored, const std::vector<TreeFile>& files) {
    State state = derive(*stored.commit);
    const auto carried = std::find_if(files.begin(), files.end(),
                                      [](const TreeFile& file) { return file.path == carried_path; });
    if (carried == files.end()) return state;
    std::map<std::string, std::vector<Address>> by_carrier;
    for (const Item& row : read_table(objects_.read(carried->id), carried_path))
      by_carrier[row.value].push_back(Address::parse(row.key));
    for (const auto& [oid, addresses] : by_carrier) {
      const auto id = store::parse_hex(oid);
      const store::RawCommit* other = id ? history_.commit(*id) : nullptr;
      if (other == nullptr)
        throw Error(ErrorKind::store, "a trial that it carries items of is lost", "repair it first");
      state = overlay_items(state, derive(*other), addresses);
    }
    return state;
  }

  void check_state(const Stored& stored) {
    const std::vector<TreeFile> files = history_.files(stored.tree, std::string(state_prefix));
    std::map<std::string, git_oid> expected;
    const bool kept = !stored.backup.kept.empty();
    for (const StateFile& file :
         kept ? write_state(derive_kept(stored, files)) : write_state(derive(*stored.commit)))
      expected[file.path] = id_of(file);
    std::set<std::string> off;
    for (const TreeFile& file : files) {
      if (file.path == carried_path && !stored.backup.kept.empty()) continue;
      const auto found = expected.find(file.path);
      if (found == expected.end() || git_oid_equal(&found->second, &file.id) == 0) off.insert(file.path);
      if (found != expected.end()) expected.erase(found);
    }
    for (const auto& [path, id] : expected) off.insert(path);
    if (off.empty()) return;
    if (stored.backup.reader != reader_version) {
      tell(
          stored, Concern::note, "older-reader", "",
          fmt::format("their states were made by reader {}; reader {} of this keepway makes them differently",
                      stored.backup.reader, reader_version),
          "nothing is lost: the originals are intact, and the next intake is read by the present reader");
      return;
    }
    const std::string& first = *off.begin();
    tell(stored, Concern::damage, "state-differs", escape(first),
         fmt::format("'{}'{} does not follow from the originals of that backup", escape(first),
                     off.size() > 1 ? fmt::format(" and {} more", off.size() - 1) : ""),
         "trust the originals: the commit was rewritten by another program, or this is a fault in keepway");
  }

  const store::Objects& objects_;
  History& history_;
  Audit& audit_;
  std::map<git_oid, Sha256, store::OidLess> sums_;
  std::map<git_oid, std::string, store::OidLess> held_;    // originals of the backup derived last
  std::map<git_oid, std::string, store::OidLess> coming_;  // of this one
  struct ReadBy {
    std::string key;
    Layout layout;
    ReadContext context;
    ReadingMemory memory;
  };
  std::optional<ReadBy> read_by_;
  std::optional<std::pair<std::string, State>> last_;
  std::map<std::string, std::pair<SharedText, git_oid>> hashed_;  // by path: content and id
};

}  // namespace

void check_backups(const store::Objects& objects, History& history, Audit& audit,
                   const std::function<void(std::size_t, std::size_t)>& tick) {
  Checker checker(objects, history, audit);
  std::size_t done = 0;
  for (const Stored& stored : history.backups()) {
    checker.check(stored);
    if (tick) tick(++done, history.backups().size());
  }
}

}  // namespace keepway::audits
