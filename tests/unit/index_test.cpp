// The index of item changes beside plain reading of Git: on random histories, on files damaged at every byte,
// and on lines that git itself moved. Invented data.
#include "keepway/index.hpp"

#include <fmt/format.h>

#include <map>
#include <random>

#include "base/cache.hpp"
#include "index/index_segment.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

// What a name was at with each backup, read from Git without any of the index's code.
using Values = std::map<std::string, std::string>;

Values values_at(const Repository& repository, const Oid& commit) {
  Values values;
  for (const Blob& blob : repository.list(commit, "state/")) {
    if (!blob.path.ends_with(".tsv")) {
      values["f" + blob.path.substr(6)] = blob.id;
      continue;
    }
    const std::string text = repository.read(blob.id);
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = text.find('\n', at);
      const std::string line = text.substr(at, end - at);
      const std::size_t tab = line.find('\t');
      values["r" + blob.path.substr(6) + "\t" + line.substr(0, tab)] = line.substr(tab + 1);
      at = end + 1;
    }
  }
  return values;
}

std::optional<std::uint32_t> numbered(const CommitInfo& info) {
  const std::string_view number = info.trailer("Number");
  if (number.empty()) return std::nullopt;
  return static_cast<std::uint32_t>(std::stoul(std::string(number)));
}

// All that can be asked of an index, as one text; and the same from Git alone.
std::string reported(const CommitInfo& info, std::uint32_t number) {
  std::string out = fmt::format("{} {} {} {} {} {}|{}|{}", info.id, number, info.at, info.taken, info.author,
                                info.summary, info.body, fmt::join(info.parents, ","));
  for (const auto& [name, value] : info.trailers) out += fmt::format(" {}={}", name, value);
  return out + "\n";
}
std::string reported(const std::string& name, const std::optional<std::string>& value) {
  return fmt::format("  {} {}\n", name, value ? "= " + *value : "gone");
}
std::string reported(const Change& change) {
  return reported(change.name, change.value);
}

std::string from_index(const Repository& repository, const Oid& tip) {
  const Index index = Index::open(repository, tip, numbered);
  std::string out;
  std::map<std::string, std::string> by_name;
  for (std::size_t place = 0; place < index.size(); ++place) {
    const CommitInfo info = index.info(place);
    EXPECT_EQ(index.commit(place), info.id);
    EXPECT_EQ(index.at(place), info.at);
    EXPECT_EQ(index.place_of(info.id), place);
    out += reported(info, index.number(place));
    for (const Change& change : index.changes(place)) {
      out += reported(change);
      by_name[change.name] += fmt::format("{}{}", place, reported(change.name, change.value));
    }
  }
  for (const auto& entry : by_name) {
    std::string found;
    index.find(entry.first,
               [&](std::size_t place, const std::optional<std::string>& value, const CommitInfo& info) {
                 EXPECT_EQ(info.id, index.commit(place));
                 found += fmt::format("{}{}", place, reported(entry.first, value));
               });
    EXPECT_EQ(found, entry.second);
  }
  index.find("rno.tsv\tsuch", [](std::size_t, const auto&, const auto&) { ADD_FAILURE(); });
  return out;
}

// By name.
std::vector<Change> changes_of(const Values& was, const Values& is) {
  std::map<std::string, Change> changed;
  for (const auto& [name, value] : is) {
    const auto before = was.find(name);
    if (before == was.end() || before->second != value) changed[name] = {name, value};
  }
  for (const auto& [name, value] : was) {
    if (!is.contains(name)) changed[name] = {name, std::nullopt};
  }
  std::vector<Change> out;
  for (auto& [name, change] : changed) out.push_back(std::move(change));
  return out;
}

std::string from_git(const Repository& repository, const Oid& tip) {
  std::vector<CommitInfo> backups;
  repository.walk(tip, [&](const CommitInfo& info) {
    if (numbered(info)) backups.push_back(info);
    return true;
  });
  std::string out;
  for (std::size_t i = 0; i < backups.size(); ++i) {
    out += reported(backups[i], *numbered(backups[i]));
    const Values is = values_at(repository, backups[i].id);
    const Values was = i + 1 < backups.size() ? values_at(repository, backups[i + 1].id) : Values{};
    for (const Change& change : changes_of(was, is)) out += reported(change);
  }
  return out;
}

class StoreIndex : public StoreTest {
 protected:
  [[nodiscard]] std::filesystem::path file() const { return folder_ / ".git/keepway/cache/index"; }
  [[nodiscard]] std::string bytes() const { return on_disk(".git/keepway/cache/index"); }
  void put(const std::string& all) const { put_on_disk(".git/keepway/cache/index", all); }
  // The same answers, and the same again from what the first left in the file.
  void expect_as_git(const Repository& repository, const Oid& tip, const std::string& what) const {
    const std::string expected = from_git(repository, tip);
    EXPECT_EQ(from_index(repository, tip), expected) << what;
    EXPECT_EQ(from_index(repository, tip), expected) << what << ", again";
  }
};

// One history after another of backups, hand edits, trials kept by a merge and trials left lying.
class RandomHistory {
 public:
  RandomHistory(Repository& repository, std::uint32_t seed) : repository_(repository), random_(seed) {}

  void step() {
    const std::uint32_t dice = below(10);
    if (dice == 0) {
      NewCommit edit = said("Edit by hand");
      repository_.add(line_, {}, {{"layout.toml", text_}}, edit);
      text_ += "#\n";
    } else if (dice == 1) {
      line_ = fmt::format("trial/{}", ++trials_);
      repository_.begin_line(line_, *repository_.resolve("main"));
    } else if (dice == 2 && line_ != "main") {
      NewCommit merge = backup("Keep the trial");
      merge.also_parents = {*repository_.resolve("refs/heads/" + line_)};
      commit("main", merge);
      line_ = "main";
    } else if (dice == 3) {
      line_ = "main";
    } else {
      change();
      commit(line_, backup(below(3) == 0 ? "A note\n\nof two\nparts: \t \x1f end" : "Backup"));
    }
  }
  [[nodiscard]] const std::string& line() const { return line_; }

 private:
  std::uint32_t below(std::uint32_t limit) { return static_cast<std::uint32_t>(random_() % limit); }
  static NewCommit said(const std::string& summary) {
    NewCommit commit;
    commit.summary = summary;
    commit.author = "Ida Turner";
    commit.at = 1000;
    commit.taken = 2000;
    return commit;
  }
  NewCommit backup(const std::string& body) {
    NewCommit commit = said("Backup of the mill");
    commit.body = body;
    commit.at = 1000 + below(100000);
    commit.trailers = {{"Number", std::to_string(++number_)}, {"Other", std::string(below(40), 'x')}};
    return commit;
  }
  void change() {
    for (std::uint32_t i = below(4); i > 0; --i) {
      auto& table = tables_[fmt::format("state/t{}.tsv", below(2))];
      const std::string key = fmt::format("{}", below(12));
      if (below(4) == 0) {
        table.erase(key);
      } else {
        table[key] = below(5) == 0 ? std::string(40, 'a') : fmt::format("{}", below(30));
      }
    }
    if (below(3) == 0) programs_[fmt::format("state/programs/O{}.nc", below(5))] = std::to_string(below(50));
    if (below(8) == 0 && !programs_.empty()) programs_.erase(programs_.begin());
  }
  void commit(const std::string& line, const NewCommit& commit) {
    std::map<std::string, std::string> texts = programs_;
    for (const auto& [path, table] : tables_) {
      for (const auto& [key, value] : table) texts[path] += fmt::format("{}\t{}\n", key, value);
    }
    std::vector<TreeFile> files;
    files.reserve(texts.size());
    for (const auto& [path, text] : texts) files.push_back({path, text});
    repository_.add(line, {"state/"}, files, commit);
  }

  Repository& repository_;
  std::mt19937 random_;
  std::string line_ = "main";
  std::string text_ = "[a]\n";
  std::map<std::string, std::map<std::string, std::string>> tables_;
  std::map<std::string, std::string> programs_;
  std::uint32_t number_ = 0;
  std::uint32_t trials_ = 0;
};

TEST_F(StoreIndex, AnswersAsGitDoesOnRandomHistories) {
  for (std::uint32_t seed = 1; seed <= 6; ++seed) {
    folder_ = top_ / std::to_string(seed);
    Repository repository = made();
    RandomHistory history(repository, seed);
    for (int i = 0; i < 60; ++i) {
      history.step();
      if (i % 7 != 0) continue;
      const std::string here = fmt::format("seed {}, step {}", seed, i);
      expect_as_git(repository, *repository.resolve("refs/heads/" + history.line()), here);
      expect_as_git(repository, *repository.resolve("main"), here + ", main");
      if (i % 21 == 0) std::filesystem::remove(file());
    }
  }
}

TEST_F(StoreIndex, IsFoundOutWhereverAByteIsWrongOrTheFileEnds) {
  Repository repository = made();
  RandomHistory history(repository, 5);
  for (int i = 0; i < 9; ++i) history.step();
  const Oid tip = *repository.resolve("main");
  const std::string expected = from_git(repository, tip);
  ASSERT_EQ(from_index(repository, tip), expected);
  const std::string sound = bytes();
  ASSERT_GT(sound.size(), 250U);
  ASSERT_LT(sound.size(), 20000U);
  for (std::size_t at = 0; at < sound.size(); ++at) {
    std::string damaged = sound;
    damaged[at] = static_cast<char>(damaged[at] ^ (at % 2 == 0 ? 0xff : 1 << (at / 2 % 8)));
    put(damaged);
    ASSERT_EQ(from_index(repository, tip), expected) << "byte " << at;
    ASSERT_EQ(bytes().size(), sound.size()) << "the damage is gone after byte " << at;
    put(sound.substr(0, at));
    ASSERT_EQ(from_index(repository, tip), expected) << "cut at " << at;
    ASSERT_EQ(bytes().size(), sound.size()) << "whole again after a cut at " << at;
  }
  for (const std::string& odd : {sound + sound, sound.substr(sound.size() / 2) + sound, sound + "x",
                                 std::string(5000, '\0'), std::string("\n")}) {
    put(odd);
    ASSERT_EQ(from_index(repository, tip), expected);
  }
}

TEST_F(StoreIndex, CheckReportsDamageAndCommitsThatSayOtherwiseThanGit) {
  Repository repository = made();
  RandomHistory history(repository, 5);
  for (int i = 0; i < 9; ++i) history.step();
  const Oid tip = *repository.resolve("main");
  (void)from_index(repository, tip);
  const std::string sound = bytes();
  const auto whole = Index::check(repository, {tip}, numbered);
  EXPECT_EQ(whole.commits, repository.first_parent_count(tip));
  EXPECT_EQ(whole.wrong, 0U);
  EXPECT_FALSE(whole.damaged);
  const CommitInfo info = repository.info(tip);
  Cache(folder_ / ".git")
      .append("index",
              write_segment({{info, numbered(info), {{"rt0.tsv\t1", "forged, with a sum that is right"}}}}));
  const auto forged = Index::check(repository, {tip, tip}, numbered);
  EXPECT_EQ(forged.wrong, 1U);
  EXPECT_FALSE(forged.damaged);
  std::string damaged = sound;
  damaged[damaged.size() / 2] = static_cast<char>(damaged[damaged.size() / 2] ^ 1);
  put(damaged);
  EXPECT_TRUE(Index::check(repository, {tip}, numbered).damaged);
  Index::drop(repository);
  EXPECT_EQ(Index::check(repository, {tip}, numbered).commits, 0U);
  expect_as_git(repository, tip, "made again");
}

// More backups than one segment holds, with long messages and many names: all is packed, in several parts.
class LongStoreIndex : public StoreIndex {
 protected:
  Oid add_backups(Repository& repository, int count, bool note) {
    Oid newest;
    for (int i = 0; i < count; ++i) {
      ++number_;
      NewCommit backup = said(fmt::format("Backup {}", number_));
      backup.body = fmt::format("note {} of {}", number_, std::string(200, 'x'));
      backup.trailers = {{"Number", std::to_string(number_)}};
      std::string table;
      for (int row = 0; row < 60; ++row) table += fmt::format("{}\t{}\n", row, (number_ + row) / 9);
      newest = repository.add("main", {"state/"}, {{"state/t.tsv", table}}, backup);
      if (!note) continue;
      const CommitInfo info = repository.info(newest);
      const Oid parent = number_ == 1 ? "" : info.parents.front();
      Index::note(repository, info, static_cast<std::uint32_t>(number_),
                  changes_between(repository, parent.empty() ? std::nullopt : std::optional(parent), newest));
    }
    return newest;
  }

 private:
  int number_ = 0;
};

TEST_F(LongStoreIndex, AnswersAsGitDoes) {
  Repository repository = made();
  const Oid tip = add_backups(repository, static_cast<int>(commits_a_segment) + 30, false);
  expect_as_git(repository, tip, "made");
  const std::string sound = bytes();
  for (std::size_t at = 3; at < sound.size(); at += sound.size() / 7) {
    std::string damaged = sound;
    damaged[at] = static_cast<char>(damaged[at] ^ 0x20);
    put(damaged);
    EXPECT_TRUE(Index::check(repository, {tip}, numbered).damaged) << "byte " << at;
    EXPECT_EQ(from_index(repository, tip), from_git(repository, tip)) << "damaged at " << at;
    EXPECT_FALSE(Index::check(repository, {tip}, numbered).damaged) << "byte " << at;
  }
}

TEST_F(LongStoreIndex, JoinsWhatBackupsAddOneByOne) {
  Repository repository = made();
  const Oid before = add_backups(repository, static_cast<int>(commits_a_segment) - 1, true);
  const std::size_t single = bytes().size();
  const Oid tip = add_backups(repository, 3, true);
  EXPECT_LT(bytes().size() * 3, single) << "packed";
  EXPECT_EQ(Index::check(repository, {tip}, numbered).commits, repository.first_parent_count(tip) - 1)
      << "all but the first commit, which is no backup";
  EXPECT_EQ(Index::check(repository, {tip}, numbered).wrong, 0U);
  expect_as_git(repository, tip, "joined");
  expect_as_git(repository, before, "an older tip");
}

TEST_F(StoreIndex, FollowsCommitsThatGitItselfMade) {
  Repository repository = made();
  const auto backup = [&](const std::string& number, const std::string& text) {
    NewCommit commit = said("Backup " + number);
    commit.trailers = {{"Number", number}};
    repository.add("main", {"state/"}, {{"state/t.tsv", text}}, commit);
  };
  backup("1", "1\ta\n2\tb\n");
  backup("2", "1\ta\n2\tc\n");
  expect_as_git(repository, *repository.resolve("main"), "at first");
  const std::string by_git = "-c user.name=x -c user.email=x@y ";
  git(by_git + "commit -q --allow-empty -m 'Backup 3' -m 'Number: 3'");
  put_on_disk("state/t.tsv", "2\td\n");
  git(by_git + "commit -qam 'Backup 4' -m 'Number: 4'");
  expect_as_git(repository, *repository.resolve("main"), "two commits by git");
  git("reset -q --hard HEAD~3");
  expect_as_git(repository, *repository.resolve("main"), "taken back by git");
  backup("2", "1\tz\n");
  expect_as_git(repository, *repository.resolve("main"), "gone another way");
  git(by_git + "commit -q --amend --allow-empty -m 'Backup 7' -m 'Number: 7'");
  expect_as_git(repository, *repository.resolve("main"), "a message rewritten");
}

TEST_F(StoreIndex, GivesTheSameWhereItCannotBeWritten) {
  Repository repository = made();
  RandomHistory history(repository, 3);
  for (int i = 0; i < 20; ++i) history.step();
  std::filesystem::create_directories(file());  // a folder where the file belongs
  expect_as_git(repository, *repository.resolve("main"), "a folder");
  std::filesystem::remove(file());
  std::filesystem::create_symlink("/dev/zero", file());
  expect_as_git(repository, *repository.resolve("main"), "a link to an endless file");
  std::filesystem::remove_all(folder_ / ".git/keepway");
  put_on_disk(".git/keepway", "a file where the folder belongs");
  expect_as_git(repository, *repository.resolve("main"), "no folder");
}

}  // namespace
}  // namespace keepway::store
