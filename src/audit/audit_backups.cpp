// Whether each backup still is what it was: its originals by their digest, its state by making it again.
#include <fmt/format.h>

#include <algorithm>
#include <cstring>
#include <map>
#include <set>
#include <utility>

#include "audit/audit.hpp"
#include "base/parallel.hpp"
#include "git/sha1.hpp"
#include "keepway/reader.hpp"
#include "keepway/sha256.hpp"
#include "keepway/trial.hpp"
#include "shop/backup_commit.hpp"
#include "shop/digest.hpp"
#include "shop/read_as.hpp"

namespace keepway::audits {
namespace {

using store::oid_text;

constexpr std::string_view originals_prefix = "originals/";
constexpr std::string_view state_prefix = "state/";

// One cause, one finding: later backups of the same join it.
void add(store::Findings& findings, Finding&& added) {
  for (Finding& finding : findings) {
    if (finding.code == added.code && finding.what == added.what && finding.where == added.where) {
      finding.backups.insert(finding.backups.end(), added.backups.begin(), added.backups.end());
      return;
    }
  }
  findings.push_back(std::move(added));
}

// What a run of backups, one after another, gave.
struct Checked {
  std::size_t backups = 0;
  std::size_t derived = 0;
  store::Findings findings;
  std::string first;  // what the first state of the run was made from, see Checker::derive()
  std::string last;   // and the last
};

class Checker {
 public:
  Checker(const store::Objects& objects, const History& history) : objects_(objects), history_(history) {}

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
  Checked take() {
    if (last_) checked_.last = last_->first;
    return std::move(checked_);
  }

 private:
  void tell(const Stored& stored, Concern concern, const char* code, const std::string& where,
            const std::string& what, const std::string& remedy) {
    audits::add(checked_.findings, {concern, code, where, what, remedy, {stored.name}});
  }

  void check_digest(const Stored& stored) {
    ++checked_.backups;
    const Originals& originals = originals_of(stored.tree);
    std::vector<SummedFile> files;
    for (const Original& file : originals.files) files.push_back({file.name, hex(sum_of(file.id))});
    const std::string digest = digest_of(files, originals.empty_folders);
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

  struct Original {
    std::string name;  // as received
    git_oid id{};
  };
  struct Originals {
    git_oid tree{};
    std::vector<Original> files;  // by name, as media gives them
    std::vector<std::string> empty_folders;
  };

  // Of a commit's tree. Valid until the next.
  const Originals& originals_of(const git_oid& tree) {
    if (originals_ && git_oid_equal(&originals_->tree, &tree) != 0) return *originals_;
    Originals& out = originals_.emplace(Originals{tree, {}, {}});
    for (const TreeFile& file : history_.files(tree, std::string(originals_prefix))) {
      std::string empty_folder;
      if (auto name = original_name(file.path, &empty_folder)) {
        out.files.push_back({std::move(*name), file.id});
      } else {
        out.empty_folders.push_back(std::move(empty_folder));
      }
    }
    std::sort(out.files.begin(), out.files.end(),
              [](const Original& a, const Original& b) { return a.name < b.name; });
    return out;
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
    std::vector<OriginalView> views;
    for (const Original& file : originals_of(commit.tree).files)
      views.push_back({file.name, original(file.id), sum_of(file.id)});
    last_ = {key, read_backup(read_by_->layout, read_by_->context, views, &read_by_->memory).state};
    held_ = std::exchange(coming_, {});
    ++checked_.derived;
    if (checked_.first.empty()) checked_.first = key;
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
  const History& history_;
  Checked checked_;
  std::optional<Originals> originals_;
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

void check_backups(const store::Objects& objects, const History& history, Audit& audit,
                   const OnProgress& progress) {
  // Long enough that reading the first of a run without the one before it does not count.
  constexpr std::size_t longest = 256;
  const std::vector<Stored>& backups = history.backups();
  const std::size_t length = std::clamp<std::size_t>((backups.size() + 1) / 2, 1, longest);
  std::vector<Checked> runs((backups.size() + length - 1) / length);
  Count count(progress, "making states again", backups.size());
  in_parallel(runs.size(), true, [&](std::size_t run) {
    Checker checker(objects, history);
    for (std::size_t i = run * length; i < std::min((run + 1) * length, backups.size()); ++i) {
      checker.check(backups[i]);
      count.one();
    }
    runs[run] = checker.take();
  });
  std::string last;
  for (Checked& run : runs) {
    audit.backups += run.backups;
    // What the run before ended with was made again.
    audit.derived += run.derived - (!run.first.empty() && run.first == last ? 1U : 0U);
    if (!run.last.empty()) last = std::move(run.last);
    for (Finding& finding : run.findings) add(audit.findings, std::move(finding));
  }
}

}  // namespace keepway::audits
