// Whether each backup still is what it was: its originals by their digest, its state by making it again.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "audit/audit.hpp"
#include "keepway/sha256.hpp"
#include "keepway/trial.hpp"
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
    check_laid(stored);
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
        auto [known, fresh] = sums_.try_emplace(file.id);
        if (fresh) known->second = sha256_hex(objects_.read(file.id));
        files.push_back({std::move(*name), known->second});
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
  void check_laid(const Stored& stored) {
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

  // With the layout, serial and units of that time.
  State derive(const store::RawCommit& commit) {
    const auto originals = history_.at(commit.tree, "originals");
    const auto layout_id = history_.at(commit.tree, "layout.toml");
    const auto machine_id = history_.at(commit.tree, "machine.toml");
    const auto text = [](const std::optional<git_oid>& id) { return id ? oid_text(*id) : std::string(); };
    const std::string key = text(originals) + text(layout_id) + text(machine_id);
    if (last_ && last_->first == key) return last_->second;
    const media::Set set = stored_set(
        history_.files(commit.tree, std::string(originals_prefix)),
        [](const TreeFile& file) { return file.path; },
        [&](const TreeFile& file) { return objects_.read(file.id); });
    State state =
        state_of(set, read_as(text_at(commit.tree, "layout.toml"), text_at(commit.tree, "machine.toml")));
    ++audit_.derived;
    last_ = {key, state};
    return state;
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
    const State made = stored.backup.kept.empty() ? derive(*stored.commit) : derive_kept(stored, files);
    std::map<std::string, git_oid> expected;
    for (const StateFile& file : write_state(made)) {
      git_oid id{};
      store::check(git_odb_hash(&id, file.content.data(), file.content.size(), GIT_OBJECT_BLOB),
                   "hash a file");
      expected[file.path] = id;
    }
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
  std::map<git_oid, std::string, store::OidLess> sums_;
  std::optional<std::pair<std::string, State>> last_;
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
