// keepway against git on the same histories, in the same run: intake of a day, when, changes, show, history,
// and the size on disk. Every answer is compared with git's before its time counts.
// Usage: history_bench KEEPWAY FOLDER [DEPTH...]; see tests/bench/history.
#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>
#include <thread>

#include "history_made.hpp"
#include "process.hpp"

namespace {

namespace fs = std::filesystem;
using bench::Run;
using nlohmann::json;
using Lines = std::vector<std::string>;

constexpr int rounds = 9;
constexpr int days = 25;  // taken in one by one; the first two or three find nothing remembered yet

[[noreturn]] void differ(const std::string& what) {
  throw std::runtime_error("keepway and git do not agree: " + what);
}
void same(const auto& ours, const auto& theirs, const std::string& what) {
  if (ours != theirs) differ(what);
}

Lines lines_of(const std::string& text) {
  Lines out;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

struct Samples {
  std::vector<double> times;
  long peak_kb = 0;
  void add(const Run& run) {
    times.push_back(run.milliseconds);
    peak_kb = std::max(peak_kb, run.peak_kb);
  }
};

void row(std::size_t depth, const std::string& what, const Samples& ours, const std::string& theirs_name,
         const Samples& theirs) {
  const double a = bench::median(ours.times);
  const double b = bench::median(theirs.times);
  fmt::print("{:>6}  {:<18} {:9.2f} ms {:6.1f} MB   {:<20} {:10.2f} ms {:6.1f} MB   {:8.4f}\n", depth, what,
             a, static_cast<double>(ours.peak_kb) / 1e3, theirs_name, b,
             static_cast<double>(theirs.peak_kb) / 1e3, a / b);
  std::fflush(stdout);
}

std::uintmax_t bytes_below(const fs::path& folder) {
  std::uintmax_t sum = 0;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) sum += entry.file_size();
  }
  return sum;
}

class Bench {
 public:
  Bench(std::string keepway, fs::path folder, std::size_t depth)
      : keepway_(std::move(keepway)), folder_(std::move(folder)), depth_(depth), control_(20'000 + depth) {}

  void go() {
    bench::make_shop(folder_);
    pile();
    daily();
    when();
    changes();
    show();
    history();
    replay();
    size();
  }

 private:
  Run ours(Lines arguments) const {
    arguments.insert(arguments.begin(), {keepway_, "--shop", "shop"});
    return bench::run(arguments, folder_);
  }
  Run git(Lines arguments, const fs::path& repository) const {
    arguments.insert(arguments.begin(), "git");
    return bench::run(arguments, repository);
  }
  [[nodiscard]] fs::path machine() const { return folder_ / "shop/m"; }
  [[nodiscard]] std::string commit_of(std::size_t number) const {
    return commits_.at(commits_.size() - number);
  }

  void pile() {
    const fs::path drawer = folder_ / "drawer";
    control_.fill_drawer(drawer, depth_);
    ::sync();
    const Run run = ours({"pile", "m", drawer.string(), "--by", "Ida", "--json"});
    std::size_t stored = 0;
    const json answer = json::parse(run.out);
    for (const json& step : answer["entries"]) stored += step["fate"] == "stored" ? 1U : 0U;
    same(stored, depth_, "how many backups the drawer holds");
    fmt::print("{:>6}  pile: {:.1f} s, {:.0f} backups a second, {:.1f} MB at most\n", depth_,
               run.milliseconds / 1e3, static_cast<double>(depth_) / run.milliseconds * 1e3,
               static_cast<double>(run.peak_kb) / 1e3);
    std::fflush(stdout);
    fs::remove_all(drawer);
  }

  // Git gets the normal form twice: once only what changed is written into its work tree, and once all of it,
  // as when a backup is copied over the one before.
  void daily() {
    const fs::path sparing = folder_ / "git";
    const fs::path copied = folder_ / "git-all";
    for (const fs::path& copy : {sparing, copied})
      fs::copy(machine(), copy, fs::copy_options::recursive | fs::copy_options::copy_symlinks);
    // Git looks at the contents of files as young as its index, on each call: these are to be older.
    std::this_thread::sleep_for(std::chrono::milliseconds(1100));
    for (const fs::path& copy : {sparing, copied}) (void)git({"update-index", "-q", "--refresh"}, copy);
    std::this_thread::sleep_for(std::chrono::milliseconds(1100));
    Samples mine;
    std::map<fs::path, Samples> gits;
    for (int round = 0; round < days; ++round) {
      control_.pass_a_day();
      const fs::path in = folder_ / fmt::format("in-{}", round);
      control_.write(in);
      ::sync();  // what others left to be written is not this intake's
      mine.add(ours({"intake", "m", in.string(), "--by", "Ida", "--at",
                     keepway::format_time_rfc3339(
                         bench::first_day +
                         static_cast<std::int64_t>(depth_ + static_cast<std::size_t>(round)) * bench::day)}));
      for (const fs::path& copy : {sparing, copied}) {
        for (const auto& entry : fs::recursive_directory_iterator(machine() / "state")) {
          if (!entry.is_regular_file()) continue;
          const fs::path to = copy / fs::relative(entry.path(), machine());
          if (copy == copied || bytes_of(entry.path()) != bytes_of(to))
            std::ofstream(to, std::ios::binary) << bytes_of(entry.path());
        }
        ::sync();
        Run added = git({"add", "-A"}, copy);
        const Run committed = git({"commit", "-q", "-m", "Backup"}, copy);
        added.milliseconds += committed.milliseconds;
        added.peak_kb = std::max(added.peak_kb, committed.peak_kb);
        gits[copy].add(added);
        same(git({"rev-parse", "HEAD:state"}, machine()).out, git({"rev-parse", "HEAD:state"}, copy).out,
             "what a day's intake stores");
      }
    }
    row(depth_, "intake of a day", mine, "add, commit: changed", gits[sparing]);
    row(depth_, "intake of a day", mine, "add, commit: all", gits[copied]);
    for (const fs::path& copy : {sparing, copied}) fs::remove_all(copy);
    commits_ = lines_of(git({"log", "--format=%H", "--grep=^Keepway-Backup:"}, machine()).out);
    if (commits_.size() != depth_ + days) differ("the number of backups");
  }
  static std::string bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }

  void when() {
    const Lines asked = {"when", "m", "offsets/tool/1/length", "--json"};
    Lines found;
    const json answer = json::parse(ours(asked).out);
    for (const json& change : answer["changes"]) {
      found.push_back(change["backup"]["commit"].get<std::string>());
    }
    const Lines log = {"log", "-L", "/^tool\\/1\\/length\t/,+1:state/offsets.tsv", "-s", "--format=%H"};
    Samples slow;
    const Run first = git(log, machine());
    // -L counts a commit too that changed the row right above; -G tells those whose diff has the row itself.
    same(
        found,
        lines_of(git({"log", "-G^tool/1/length\t", "--format=%H", "--", "state/offsets.tsv"}, machine()).out),
        "when tool 1's length changed");
    const Lines more = lines_of(first.out);
    const std::set<std::string> with_neighbours(more.begin(), more.end());
    for (const std::string& commit : found) {
      if (!with_neighbours.contains(commit)) differ("when tool 1's length changed, by -L");
    }
    slow.add(first);
    const Lines blame = {"blame", "-s", "-l", "HEAD", "--", "state/offsets.tsv"};
    Samples mine;
    Samples blamed;
    for (int round = 0; round < rounds; ++round) {
      mine.add(ours({asked.begin(), asked.end() - 1}));
      if (round < (depth_ > 1000 ? 3 : rounds)) {
        const Run run = git(blame, machine());
        std::string line;
        for (const std::string& one : lines_of(run.out)) {
          if (one.find(") tool/1/length\t") != std::string::npos) line = one;
        }
        const std::string commit = line.substr(line.starts_with('^') ? 1 : 0, 40);
        same(found.front().substr(0, commit.size()), commit, "the last change of tool 1's length");
        blamed.add(run);
      }
      if (round > 0 && depth_ <= 1000) slow.add(git(log, machine()));
    }
    row(depth_, "when", mine, "git log -L", slow);
    row(depth_, "when", mine, "git blame", blamed);
    asked_.push_back(asked);
  }

  // Rows and programs that a patch tells of, as a set of "path: +row", "path: -row" and "path".
  static std::set<std::string> in_patch(const std::string& patch) {
    std::set<std::string> out;
    std::string path;
    for (const std::string& line : lines_of(patch)) {
      if (line.starts_with("diff --git ")) {
        path = line.substr(line.rfind(" b/") + 3);
        if (!path.ends_with(".tsv")) out.insert(path);
      } else if (path.ends_with(".tsv") && !line.starts_with("+++") && !line.starts_with("---") &&
                 (line[0] == '+' || line[0] == '-')) {
        out.insert(path + ": " + line);
      }
    }
    return out;
  }
  void changes() {
    const std::size_t to = depth_;
    const std::size_t from = depth_ > 100 ? depth_ - 100 : 1;
    const Lines asked = {"changes", "m", fmt::format("#{}", from), fmt::format("#{}", to), "--json"};
    const Lines diff = {"diff", commit_of(from), commit_of(to), "--", "state"};
    std::set<std::string> told;
    const json answer = json::parse(ours(asked).out);
    for (const json& change : answer["values"]) {
      const auto address = change["address"].get<std::string>();
      const std::size_t slash = address.find('/');
      const std::string path = "state/" + address.substr(0, slash) + ".tsv: ";
      const std::string key = address.substr(slash + 1) + "\t";
      if (!change["before"].is_null()) told.insert(path + "-" + key + change["before"].get<std::string>());
      if (!change["after"].is_null()) told.insert(path + "+" + key + change["after"].get<std::string>());
    }
    for (const json& change : answer["programs"]) {
      told.insert(keepway::program_path(change["program"].get<std::string>()));
    }
    same(told, in_patch(git(diff, machine()).out), "what changed in 100 backups");
    const Lines to_read(asked.begin(), asked.end() - 1);
    Samples mine;
    Samples gits;
    for (int round = 0; round < rounds; ++round) {
      mine.add(ours(to_read));
      gits.add(git(diff, machine()));
    }
    row(depth_, "changes, 100 apart", mine, "git diff", gits);
    asked_.push_back(asked);
  }

  void show() {
    const std::size_t at = depth_ / 2 + 1;
    const Lines asked = {"show", "m", "offsets", "--at", fmt::format("#{}", at), "--json"};
    const Lines reference = {"show", commit_of(at) + ":state/offsets.tsv"};
    Lines told;
    const json answer = json::parse(ours(asked).out);
    for (const json& item : answer["items"]) {
      told.push_back(item["address"].get<std::string>().substr(8) + "\t" + item["value"].get<std::string>());
    }
    same(told, lines_of(git(reference, machine()).out), "a table of the past");
    Samples mine;
    Samples gits;
    for (int round = 0; round < rounds; ++round) {
      mine.add(ours(asked));
      gits.add(git(reference, machine()));
    }
    row(depth_, "show of a table", mine, "git show", gits);
    asked_.push_back(asked);
  }

  void history() {
    const Lines asked = {"history", "m", "--json"};
    const Lines log = {"log", "--format=%H%n%an%n%at%n%B"};
    Lines told;
    const json answer = json::parse(ours(asked).out);
    for (const json& backup : answer["backups"]) {
      told.push_back(backup["commit"].get<std::string>());
    }
    same(told, commits_, "the history");
    Samples mine;
    Samples gits;
    for (int round = 0; round < rounds; ++round) {
      mine.add(ours({"history", "m"}));
      gits.add(git(log, machine()));
    }
    row(depth_, "history", mine, "git log", gits);
    asked_.push_back(asked);
  }

  // The same questions where the index is gone and where it is damaged: the same answers.
  void replay() {
    const fs::path index = machine() / ".git/keepway/index";
    Lines before;
    for (const Lines& asked : asked_) before.push_back(ours(asked).out);
    const std::string sound = bytes_of(index);
    const auto again = [&](const std::string& what) {
      Samples samples;
      for (std::size_t i = 0; i < asked_.size(); ++i) {
        const Run run = ours(asked_[i]);
        same(run.out, before[i], what);
        samples.add(run);
      }
      fmt::print("{:>6}  index {}: all answers the same; first answer {:.0f} ms, then {:.0f} ms\n", depth_,
                 what, samples.times.front(), samples.times.back());
      std::fflush(stdout);
    };
    fs::remove(index);
    again("gone");
    std::string damaged = sound;
    for (std::size_t at = 100; at < damaged.size(); at += damaged.size() / 7 + 1) {
      damaged[at] = static_cast<char>(damaged[at] ^ 0x40);
    }
    std::ofstream(index, std::ios::binary) << damaged;
    again("damaged");
    std::ofstream(index, std::ios::binary) << sound.substr(0, sound.size() / 2 + 3);
    again("cut in half");
    fmt::print("{:>6}  index: {:.2f} MB\n", depth_, static_cast<double>(fs::file_size(index)) / 1e6);
  }

  void size() {
    const fs::path copy = folder_ / "gc";
    fs::copy(machine(), copy, fs::copy_options::recursive | fs::copy_options::copy_symlinks);
    const auto before = bytes_below(machine() / ".git/objects");
    const Run gc = git({"gc", "-q"}, copy);
    const Run tidy = ours({"tidy", "m"});
    (void)git({"fsck", "--strict", "--no-progress", "--no-dangling"}, machine());
    const auto mine = static_cast<double>(bytes_below(machine() / ".git/objects"));
    const auto gits = static_cast<double>(bytes_below(copy / ".git/objects"));
    fmt::print(
        "{:>6}  size: {:.1f} MB before; tidy {:.2f} MB ({:.1f} s, {:.0f} MB); git gc {:.2f} MB ({:.1f} s, "
        "{:.0f} MB); ratio {:.3f}\n",
        depth_, static_cast<double>(before) / 1e6, mine / 1e6, tidy.milliseconds / 1e3,
        static_cast<double>(tidy.peak_kb) / 1e3, gits / 1e6, gc.milliseconds / 1e3,
        static_cast<double>(gc.peak_kb) / 1e3, mine / gits);
    fs::remove_all(copy);
    Lines after;
    for (const Lines& asked : asked_) after.push_back(ours(asked).out);
  }

  std::string keepway_;
  fs::path folder_;
  std::size_t depth_;
  bench::Control control_;
  Lines commits_;  // of backups, newest first
  std::vector<Lines> asked_;
};

}  // namespace

int main(int argc, char** argv) {
  try {
    if (argc < 4) throw std::runtime_error("usage: history_bench KEEPWAY FOLDER DEPTH...");
    for (const char* variable : {"GIT_AUTHOR_NAME", "GIT_COMMITTER_NAME"}) setenv(variable, "bench", 1);
    for (const char* variable : {"GIT_AUTHOR_EMAIL", "GIT_COMMITTER_EMAIL"})
      setenv(variable, "b@localhost", 1);
    setenv("GIT_CONFIG_GLOBAL", "/dev/null", 1);
    setenv("GIT_CONFIG_NOSYSTEM", "1", 1);
    // Git by itself: not by way of anything that keepway may have set up in the machine's folder.
    setenv("GIT_CONFIG_COUNT", "1", 1);
    setenv("GIT_CONFIG_KEY_0", "core.hooksPath", 1);
    setenv("GIT_CONFIG_VALUE_0", "/dev/null", 1);
    fmt::print("{:>6}  {:<18} {:>12} {:>9}   {:<20} {:>13} {:>9}   {:>8}\n", "deep", "keepway", "median",
               "peak", "git", "median", "peak", "ratio");
    for (int i = 3; i < argc; ++i) {
      const std::size_t depth = std::stoul(argv[i]);
      if (depth < 2) throw std::runtime_error("a depth is a number of backups, at least 2");
      Bench(fs::absolute(argv[1]).string(), fs::absolute(argv[2]) / argv[i], depth).go();
    }
    return 0;
  } catch (const std::exception& error) {
    fmt::print(stderr, "history_bench: {}\n", error.what());
    return 1;
  }
}
