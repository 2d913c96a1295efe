// The index of item changes beside plain reading of Git: on random histories, on files damaged at every byte,
// and on lines that git itself moved. Invented data.
#include <fmt/format.h>

#include <map>
#include <random>

#include "keepway/index.hpp"
#include "index/index_chunk.hpp"
#include "store_fixture.hpp"

namespace keepway::store {
namespace {

// What a name stood at with each backup, read from Git without any of the index's code.
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
std::string told(const CommitInfo& info, std::uint32_t number) {
  std::string out = fmt::format("{} {} {} {} {} {}|{}|{}", info.id, number, info.at, info.taken, info.author,
                                info.summary, info.body, fmt::join(info.parents, ","));
  for (const auto& [name, value] : info.trailers) out += fmt::format(" {}={}", name, value);
  return out + "\n";
}
std::string told(const std::string& name, const std::optional<std::string>& value) {
  return fmt::format("  {} {}\n", name, value ? "= " + *value : "gone");
}
std::string told(const Change& change) {
  return told(change.name, change.value) + (change.before ? "  was " + *change.before + "\n" : "");
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
    out += told(info, index.number(place));
    for (const Change& change : index.changes(place)) {
      out += told(change);
      by_name[change.name] += fmt::format("{}{}", place, told(change.name, change.value));
    }
  }
  for (const auto& entry : by_name) {
    std::string found;
    index.find(entry.first,
               [&](std::size_t place, const std::optional<std::string>& value, const CommitInfo& info) {
                 EXPECT_EQ(info.id, index.commit(place));
                 found += fmt::format("{}{}", place, told(entry.first, value));
               });
    EXPECT_EQ(found, entry.second);
  }
  index.find("rno.tsv\tsuch", [](std::size_t, const auto&, const auto&) { ADD_FAILURE(); });
  return out;
}

// By name. A row tells its value before, too.
std::vector<Change> changes_of(const Values& was, const Values& is) {
  std::map<std::string, Change> changed;
  for (const auto& [name, value] : is) {
    const auto before = was.find(name);
    if (before == was.end() || before->second != value) changed[name] = {name, value, std::nullopt};
  }
  for (const auto& [name, value] : was) {
    if (!is.contains(name)) changed[name] = {name, std::nullopt, std::nullopt};
    if (name.starts_with('r') && changed.contains(name)) changed[name].before = value;
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
    out += told(backups[i], *numbered(backups[i]));
    const Values is = values_at(repository, backups[i].id);
    const Values was = i + 1 < backups.size() ? values_at(repository, backups[i + 1].id) : Values{};
    for (const Change& change : changes_of(was, is)) out += told(change);
  }
  return out;
}

class StoreIndex : public StoreTest {
 protected:
  [[nodiscard]] std::filesystem::path file() const { return folder_ / ".git/keepway/index"; }
  [[nodiscard]] std::string bytes() const { return on_disk(".git/keepway/index"); }
  void put(const std::string& all) const { put_on_disk(".git/keepway/index", all); }
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

// The newest commits by IndexEnd, with what it did not come to behind.
std::string from_end(const Repository& repository, const Oid& tip) {
  std::string out;
  const auto rest = IndexEnd(repository).visit(tip, [&](auto number, const auto& info) {
    out += fmt::format("{} {}\n", number ? std::to_string(*number) : "-", info().id);
    return true;
  });
  return out + (rest ? "then " + *rest : "");
}

TEST_F(StoreIndex, TheEndOfTheFileIsAsTheLineInGit) {
  Repository repository = made();
  RandomHistory history(repository, 11);
  for (int i = 0; i < 40; ++i) history.step();
  const Oid tip = *repository.resolve("main");
  EXPECT_EQ(from_end(repository, tip), "then " + tip) << "no index yet";
  (void)Index::open(repository, tip, numbered);
  std::string expected;
  repository.walk(tip, [&](const CommitInfo& info) {
    const auto number = numbered(info);
    expected += fmt::format("{} {}\n", number ? std::to_string(*number) : "-", info.id);
    return true;
  });
  EXPECT_EQ(from_end(repository, tip), expected);
  // Enough behind it that the beginning of the file is not read.
  std::string newest;
  for (int i = 0; i < 60; ++i) {
    NewCommit backup = said(fmt::format("Backup {}", i));
    backup.body = std::string(20'000, 'x');
    backup.trailers = {{"Number", std::to_string(100 + i)}};
    const std::string value = std::to_string(i);
    newest = repository.add("main", {"state/"}, {{"state/a.txt", value}}, backup);
  }
  (void)Index::open(repository, newest, numbered);
  const std::string seen = from_end(repository, newest);
  const std::size_t then = seen.find("then ");
  ASSERT_NE(then, std::string::npos) << "not all of it lies at the end";
  EXPECT_GT(std::count(seen.begin(), seen.end(), '\n'), 20);
  std::string walked;
  repository.walk(newest, [&](const CommitInfo& info) {
    if (info.id == seen.substr(then + 5)) return false;
    walked += fmt::format("{} {}\n", *numbered(info), info.id);
    return true;
  });
  EXPECT_EQ(seen.substr(0, then), walked);
}

TEST_F(StoreIndex, TellsTheRowsBetweenAnyTwoBackupsOfALine) {
  for (const std::uint32_t seed : {21U, 22U}) {
    std::filesystem::remove_all(folder_);
    Repository repository = made();
    RandomHistory history(repository, seed);
    for (int i = 0; i < 30; ++i) history.step();
    const Oid tip = *repository.resolve("main");
    EXPECT_FALSE(
        IndexEnd(repository).rows_between(repository.info(tip).parents.front(), tip, [](auto, auto, auto) {}))
        << "no index yet";
    (void)Index::open(repository, tip, numbered);
    std::vector<Oid> line;
    repository.walk(tip, [&](const CommitInfo& info) {
      if (numbered(info)) line.push_back(info.id);
      return true;
    });
    ASSERT_GT(line.size(), 5U);
    const IndexEnd end(repository);
    for (std::size_t newer = 0; newer < line.size(); ++newer) {
      for (std::size_t older = newer; older < line.size(); ++older) {
        std::map<std::string, std::string> rows;
        ASSERT_TRUE(end.rows_between(line[older], line[newer], [&](auto name, auto before, auto after) {
          Change change{std::string(name), std::nullopt, std::nullopt};
          if (after) change.value = std::string(*after);
          if (before) change.before = std::string(*before);
          EXPECT_TRUE(rows.emplace(change.name, told(change)).second);
        }));
        std::map<std::string, std::string> expected;
        for (const Change& change :
             changes_of(values_at(repository, line[older]), values_at(repository, line[newer]))) {
          if (change.name.starts_with('r')) expected[change.name] = told(change);
        }
        ASSERT_EQ(rows, expected) << older << " to " << newer;
      }
      if (newer + 1 < line.size()) {
        EXPECT_FALSE(end.rows_between(line[newer], line[newer + 1], [](auto, auto, auto) {})) << "backwards";
      }
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
  ASSERT_GT(sound.size(), 500U);
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

TEST_F(StoreIndex, CheckTellsDamageAndChunksThatSayOtherwiseThanGit) {
  Repository repository = made();
  RandomHistory history(repository, 5);
  for (int i = 0; i < 9; ++i) history.step();
  const Oid tip = *repository.resolve("main");
  (void)from_index(repository, tip);
  const std::string sound = bytes();
  const auto whole = Index::check(repository, {tip}, numbered);
  EXPECT_EQ(whole.chunks, repository.first_parent_count(tip));
  EXPECT_EQ(whole.wrong, 0U);
  EXPECT_FALSE(whole.damaged);
  const CommitInfo info = repository.info(tip);
  put(sound + write_chunk(info, numbered(info), {{"rt0.tsv\t1", "forged, with a sum that is right"}}));
  const auto forged = Index::check(repository, {tip, tip}, numbered);
  EXPECT_EQ(forged.wrong, 1U);
  EXPECT_FALSE(forged.damaged);
  std::string damaged = sound;
  damaged[damaged.size() / 2] = static_cast<char>(damaged[damaged.size() / 2] ^ 1);
  put(damaged);
  EXPECT_TRUE(Index::check(repository, {tip}, numbered).damaged);
  Index::forget(repository);
  EXPECT_EQ(Index::check(repository, {tip}, numbered).chunks, 0U);
  expect_as_git(repository, tip, "made again");
}

// Long enough that the heads of its chunks are remembered beside it.
class StoreIndexHeads : public StoreIndex {
 protected:
  [[nodiscard]] std::string heads() const { return on_disk(".git/keepway/index-heads"); }
  void put_heads(const std::string& all) const { put_on_disk(".git/keepway/index-heads", all); }
  Oid add_backups(Repository& repository, int count) {
    Oid newest;
    for (int i = 0; i < count; ++i) {
      ++number_;
      NewCommit backup = said(fmt::format("Backup {}", number_));
      backup.body = std::string(20'000, 'x');
      backup.trailers = {{"Number", std::to_string(number_)}};
      newest = repository.add("main", {"state/"},
                              {{"state/t.tsv", fmt::format("1\t{}\n2\t{}\n", number_, number_ / 5)}}, backup);
    }
    return newest;
  }

 private:
  int number_ = 0;
};

TEST_F(StoreIndexHeads, SaveGoingThroughItAndSayNothingElse) {
  Repository repository = made();
  const Oid tip = add_backups(repository, 20);
  expect_as_git(repository, tip, "made");
  const std::string sound = bytes();
  const std::string known = heads();
  ASSERT_GT(sound.size(), 256U << 10U);
  ASSERT_GT(known.size(), 20U * sizeof(ChunkHead));
  ASSERT_LT(known.size(), sound.size() / 8);
  // The index damaged behind heads that are sound: found out when a chunk is asked for, and mended.
  for (std::size_t at = 3; at < sound.size(); at += sound.size() / 11) {
    std::string damaged = sound;
    damaged[at] = static_cast<char>(damaged[at] ^ 0x20);
    put(damaged);
    put_heads(known);
    EXPECT_TRUE(Index::check(repository, {tip}, numbered).damaged) << "byte " << at;
    expect_as_git(repository, tip, fmt::format("damaged at {}", at));
    EXPECT_EQ(bytes().size(), sound.size()) << "the damage is gone after byte " << at;
    put(sound.substr(0, at));
    put_heads(known);
    expect_as_git(repository, tip, fmt::format("cut at {}", at));
  }
  // The heads damaged, cut, or gone.
  for (std::size_t at = 0; at<known.size(); at += known.size()> 4000 ? 37 : 7) {
    put(sound);
    std::string damaged = known;
    damaged[at] = static_cast<char>(damaged[at] ^ 0x20);
    put_heads(damaged);
    ASSERT_EQ(from_index(repository, tip), from_git(repository, tip)) << "head byte " << at;
    put_heads(known.substr(0, at));
    ASSERT_EQ(from_index(repository, tip), from_git(repository, tip)) << "heads cut at " << at;
  }
}

TEST_F(StoreIndexHeads, OfAnIndexThatWasReplacedAreFoundOut) {
  Repository repository = made();
  const Oid early = add_backups(repository, 15);
  (void)from_index(repository, early);
  const std::string older = heads();
  const std::string index_then = bytes();
  const Oid tip = add_backups(repository, 15);
  expect_as_git(repository, tip, "gone on with");
  put_heads(older);
  expect_as_git(repository, tip, "heads that know half of it");
  // The newest first: every chunk stands elsewhere.
  Index::forget(repository);
  EXPECT_FALSE(std::filesystem::exists(folder_ / ".git/keepway/index-heads"));
  (void)from_index(repository, tip);
  put(bytes().substr(index_then.size()) + index_then);
  put_heads(older);
  expect_as_git(repository, tip, "chunks in another order");
  EXPECT_FALSE(Index::check(repository, {tip}, numbered).damaged);
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

TEST_F(StoreIndex, IsReplacedWhole) {
  Repository repository = made();
  RandomHistory history(repository, 4);
  for (int i = 0; i < 20; ++i) history.step();
  const Oid tip = *repository.resolve("main");
  (void)from_index(repository, tip);
  const std::string sound = bytes();
  // A program that was killed over a new file has left it half-way.
  put_on_disk(".git/keepway/index.new", sound.substr(0, sound.size() / 3) + "x");
  put(sound + "damage!!");
  EXPECT_EQ(from_index(repository, tip), from_git(repository, tip));
  EXPECT_EQ(bytes(), sound);
  EXPECT_FALSE(std::filesystem::exists(folder_ / ".git/keepway/index.new"));
}

}  // namespace
}  // namespace keepway::store
