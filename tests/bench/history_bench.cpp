// keepway against git on the same machine's life, in the same run: a drawer taken in, a day's intake beside
// the same backup copied and committed by hand, when, changes, show, and what lies on the disk. Every answer
// is compared with git's before its time counts. Usage: history_bench KEEPWAY FOLDER SHAPE [--prepare]
// DEPTH... ; see tests/bench/history.
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "by_hand.hpp"
#include "figures.hpp"
#include "shapes.hpp"

namespace {

namespace fs = std::filesystem;
using bench::Run;
using bench::Samples;
using nlohmann::json;
using Lines = std::vector<std::string>;

constexpr int rounds = 9;
constexpr int days = 25;  // taken in one by one; the first two or three find nothing in the cache

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

double bytes_below(const fs::path& folder) {
  std::uintmax_t sum = 0;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) sum += entry.file_size();
  }
  return static_cast<double>(sum);
}

std::string bytes_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

// Rows and programs that a patch of state/ names, as "path: +row", "path: -row" and "path".
std::set<std::string> in_patch(const std::string& patch) {
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
std::set<std::string> in_answer(const json& answer) {
  std::set<std::string> out;
  for (const json& change : answer["values"]) {
    const auto address = change["address"].get<std::string>();
    const std::size_t slash = address.find('/');
    const std::string path = "state/" + address.substr(0, slash) + ".tsv: ";
    const std::string key = address.substr(slash + 1) + "\t";
    if (!change["before"].is_null()) out.insert(path + "-" + key + change["before"].get<std::string>());
    if (!change["after"].is_null()) out.insert(path + "+" + key + change["after"].get<std::string>());
  }
  for (const json& change : answer["programs"])
    out.insert(keepway::program_path(change["program"].get<std::string>()));
  return out;
}

class Bench {
 public:
  Bench(std::string keepway, fs::path folder, const std::string& shape, std::size_t depth)
      : keepway_(std::move(keepway)),
        folder_(std::move(folder)),
        depth_(depth),
        control_(bench::shape_of(shape), 20'000 + depth),
        table_(shape, depth),
        by_hand_(folder_ / "by-hand") {}

  // All before the day that is looked at, and that day's backup in the folder `in`.
  void prepare() {
    bench::make_shop(folder_, control_.shape());
    pile();
    by_hand_.check_out();
    for (std::size_t i = 0; i < 3; ++i) (void)take_in(depth_ + i);
    control_.pass_a_day();
    bench::write_files(control_.set(), folder_ / "in");
  }
  void go() {
    bench::make_shop(folder_, control_.shape());
    if (control_.shape().programs > 1000) first_intake();
    pile();
    by_hand_.check_out();
    marks_and_trial();
    daily();
    when();
    changes("changes, the last two", commits_.size() - 1);
    changes("changes, far apart", commits_.size() > 5'000 ? commits_.size() - 5'000 : 1);
    show();
    index();
    size();
    whole();
  }

 private:
  Run ours(Lines arguments) const {
    arguments.insert(arguments.begin(), {keepway_, "--shop", "shop"});
    return bench::run(arguments, folder_);
  }
  Run git(Lines arguments) const {
    arguments.insert(arguments.begin(), "git");
    return bench::run(arguments, machine());
  }
  [[nodiscard]] fs::path machine() const { return folder_ / "shop/m"; }
  // Of backup #number.
  [[nodiscard]] std::string commit_of(std::size_t number) const {
    return commits_.at(commits_.size() - number);
  }
  [[nodiscard]] std::string date(std::size_t after_first) const {
    return keepway::format_time_rfc3339(bench::first_day +
                                        static_cast<std::int64_t>(after_first) * bench::day);
  }

  // The whole of the machine at once, into a shop of its own, beside git add and commit of the same files.
  void first_intake() {
    Samples mine;
    Samples gits;
    bench::write_files(control_.set(), folder_ / "first");
    for (int round = 0; round < 5; ++round) {
      const fs::path apart = folder_ / fmt::format("first-{}", round);
      bench::make_shop(apart, control_.shape());
      ::sync();
      mine.add(bench::run({keepway_, "--shop", (apart / "shop").string(), "intake", "m", "first", "--by",
                           "Ida", "--at", date(0)},
                          folder_));
      fs::copy(folder_ / "first", apart / "plain");
      (void)bench::run({"git", "init", "-q"}, apart / "plain");
      ::sync();
      Run both = bench::run({"git", "add", "-A"}, apart / "plain");
      both += bench::run({"git", "commit", "-q", "-m", "Backup"}, apart / "plain");
      gits.add(both);
      fs::remove_all(apart);
    }
    fs::remove_all(folder_ / "first");
    table_.compare("first intake", mine, "add, commit", gits);
  }

  void pile() {
    const fs::path drawer = folder_ / "drawer";
    bench::fill_drawer(control_, drawer, depth_, [&](const auto& before, const auto& now, std::int64_t at) {
      by_hand_.past(before, now, at);
    });
    ::sync();
    const Run run = ours({"pile", "m", drawer.string(), "--by", "Ida", "--json"});
    std::size_t stored = 0;
    std::size_t doubtful = 0;
    const json answer = json::parse(run.out);
    for (const json& step : answer["entries"]) {
      stored += step["fate"] == "stored" ? 1U : 0U;
      doubtful += step.value("verdict", "") == "doubtful" ? 1U : 0U;
    }
    same(stored, depth_, "how many backups the drawer holds");
    Samples one;
    one.add(run);
    table_.alone("pile", one,
                 fmt::format("{:.0f} a second, {} of them doubtful",
                             static_cast<double>(depth_) / run.milliseconds * 1e3, doubtful));
    fs::remove_all(drawer);
  }

  void marks_and_trial() {
    (void)ours({"mark", "m", "known good", "--at", fmt::format("#{}", depth_ / 2 + 1)});
    (void)ours({"mark", "m", "before ballscrew"});
    (void)ours({"trial", "m", "begin", "warm-up", "--by", "Ida"});
    (void)take_in(depth_);
    (void)ours({"trial", "m", "keep", "warm-up", "--by", "Ida"});
  }

  // One more day, by both.
  std::pair<Run, Run> take_in(std::size_t after_first) {
    const fs::path in = folder_ / "in";
    control_.pass_a_day();
    bench::write_files(control_.set(), in);
    ::sync();  // what others left to be written is not this intake's
    std::pair<Run, Run> both;
    both.first = ours({"intake", "m", "in", "--by", "Ida", "--at", date(after_first)});
    ::sync();
    both.second = by_hand_.take_in(in);
    same(git({"rev-parse", "HEAD:originals"}).out, by_hand_.tree(), "what a day's intake stores");
    fs::remove_all(in);
    return both;
  }
  void daily() {
    Samples mine;
    Samples gits;
    for (int round = 0; round < days; ++round) {
      const auto [own, git] = take_in(depth_ + 1 + static_cast<std::size_t>(round));
      mine.add(own);
      gits.add(git);
    }
    table_.compare("intake of a day", mine, "copy, add, commit", gits);
    commits_ = lines_of(git({"log", "--first-parent", "--format=%H", "--grep=^Keepway-Backup:"}).out);
  }

  void when() {
    const Lines asked = {"when", "m", "offsets/tool/1/length", "--json"};
    Lines found;
    const json answer = json::parse(ours(asked).out);
    for (const json& change : answer["changes"])
      found.push_back(change["backup"]["commit"].get<std::string>());
    // -L names a commit too that changed the row right above; -G those whose diff has the row itself. Git
    // walks into trials as well, keepway along the line.
    const Lines log = {"log", "--first-parent", "-L", "/^tool\\/1\\/length\t/,+1:state/offsets.tsv",
                       "-s",  "--format=%H"};
    same(found,
         lines_of(
             git({"log", "--first-parent", "-G^tool/1/length\t", "--format=%H", "--", "state/offsets.tsv"})
                 .out),
         "when tool 1's length changed");
    const Run first = git(log);
    const Lines more = lines_of(first.out);
    const std::set<std::string> with_neighbours(more.begin(), more.end());
    for (const std::string& commit : found) {
      if (!with_neighbours.contains(commit)) differ("when tool 1's length changed, by -L");
    }
    const Lines blame = {"blame", "-s", "-l", "--first-parent", "HEAD", "--", "state/offsets.tsv"};
    Samples mine;
    Samples rare;
    Samples logged;
    Samples blamed;
    for (int round = 0; round < rounds; ++round) {
      mine.add(ours({asked.begin(), asked.end() - 1}));
      rare.add(ours({"when", "m", "offsets/tool/9/length"}));
      logged.add(git(log));
      blamed.add(git(blame));
    }
    table_.compare("when, often changed", mine, "git log -L", logged);
    table_.compare("when, often changed", mine, "git blame", blamed);
    table_.compare("when, seldom changed", rare, "git log -L", logged);
    asked_.push_back(asked);
    asked_.push_back({"when", "m", "offsets/tool/9/length", "--json"});
  }

  void changes(const std::string& what, std::size_t from) {
    const std::size_t to = commits_.size();
    Lines asked = {"changes", "m"};
    if (from + 1 != to) asked.push_back(fmt::format("#{}", from));
    asked.push_back("--json");
    const Lines diff = {"diff", commit_of(from), commit_of(to), "--", "state", ":!state/carried.tsv"};
    same(in_answer(json::parse(ours(asked).out)), in_patch(git(diff).out), what);
    Samples mine;
    Samples gits;
    for (int round = 0; round < rounds; ++round) {
      mine.add(ours({asked.begin(), asked.end() - 1}));
      gits.add(git(diff));
    }
    table_.compare(what, mine, "git diff", gits);
    asked_.push_back(asked);
  }

  void show() {
    const std::size_t at = depth_ / 2 + 1;
    const Lines asked = {"show", "m", "offsets", "--at", fmt::format("#{}", at), "--json"};
    const Lines reference = {"show", commit_of(at) + ":state/offsets.tsv"};
    Lines shown;
    const json answer = json::parse(ours(asked).out);
    for (const json& item : answer["items"])
      shown.push_back(item["address"].get<std::string>().substr(8) + "\t" + item["value"].get<std::string>());
    same(shown, lines_of(git(reference).out), "a table of the past");
    Samples mine;
    Samples gits;
    for (int round = 0; round < rounds; ++round) {
      mine.add(ours(asked));
      gits.add(git(reference));
    }
    table_.compare("show of a table", mine, "git show", gits);
    asked_.push_back(asked);
    asked_.push_back({"history", "m", "--json"});
  }

  // The same questions where the cache is gone and where it is damaged: the same answers.
  void index() {
    const fs::path cache = machine() / ".git/keepway/cache";
    table_.say(fmt::format("cache {:.2f} MB, a {:.2f}th of the objects", bytes_below(cache) / 1e6,
                           bytes_below(machine() / ".git/objects") / bytes_below(cache)));
    Lines before;
    for (const Lines& asked : asked_) before.push_back(ours(asked).out);
    const auto again = [&](const std::string& what) {
      Samples samples;
      double first = 0;
      for (std::size_t i = 0; i < asked_.size(); ++i) {
        const Run run = ours(asked_[i]);
        same(run.out, before[i], what);
        if (i == 0) first = run.milliseconds;
        if (i != 0) samples.add(run);
      }
      table_.say(fmt::format("cache {}: all answers the same; the first after {:.0f} ms", what, first));
    };
    const auto each_file = [&](const auto& change) {
      for (const auto& entry : fs::directory_iterator(cache)) {
        const std::string sound = bytes_of(entry.path());
        std::ofstream(entry.path(), std::ios::binary) << change(sound);
      }
    };
    each_file([](std::string bytes) {
      for (std::size_t at = 100; at < bytes.size(); at += bytes.size() / 7 + 1)
        bytes[at] = static_cast<char>(bytes[at] ^ 0x40);
      return bytes;
    });
    again("damaged");
    each_file([](const std::string& bytes) { return bytes.substr(0, bytes.size() / 2 + 3); });
    again("cut in half");
    fs::remove_all(cache);
    again("gone");
  }

  // All of .git, as it is and after `tidy`, beside a clone after `git gc`.
  void size() {
    const fs::path clone = folder_ / "clone";
    const double as_it_is = bytes_below(machine() / ".git");
    (void)bench::run({"git", "clone", "-q", "--no-local", machine().string(), clone.string()}, folder_);
    const Run gc = bench::run({"git", "gc", "-q"}, clone);
    const double gits = bytes_below(clone / ".git");
    const Run tidy = ours({"tidy", "m"});
    (void)git({"fsck", "--strict", "--no-progress", "--no-dangling"});
    const double tidied = bytes_below(machine() / ".git");
    table_.say(
        fmt::format(".git {:.2f} MB (ratio {:.3f}), after tidy {:.2f} (ratio {:.3f}), packs {:.2f}, cache "
                    "{:.2f}; a clone after git "
                    "gc {:.2f}",
                    as_it_is / 1e6, as_it_is / gits, tidied / 1e6, tidied / gits,
                    bytes_below(machine() / ".git/objects") / 1e6,
                    bytes_below(machine() / ".git/keepway/cache") / 1e6, gits / 1e6));
    Samples mine;
    Samples theirs;
    mine.add(tidy);
    theirs.add(gc);
    table_.compare("tidy", mine, "git gc", theirs);
    fs::remove_all(clone);
  }

  void whole() {
    Samples audit;
    audit.add(ours({"audit", "m"}));
    table_.alone("audit", audit);
    Samples report;
    report.add(ours({"report", "m", "--to", "pages"}));
    table_.alone("report", report, fmt::format("{:.1f} MB", bytes_below(folder_ / "pages") / 1e6));
  }

  std::string keepway_;
  fs::path folder_;
  std::size_t depth_;
  bench::Control control_;
  bench::Table table_;
  bench::ByHand by_hand_;
  Lines commits_;  // of backups, newest first
  std::vector<Lines> asked_;
};

}  // namespace

int main(int argc, char** argv) {
  try {
    if (argc < 5) throw std::runtime_error("usage: history_bench KEEPWAY FOLDER SHAPE DEPTH...");
    bench::settle_git();
    fmt::print("Medians, with the middle half of the runs in brackets; cpu is processor time.\n");
    const bool prepare = argv[4] == std::string_view("--prepare");
    for (int i = prepare ? 5 : 4; i < argc; ++i) {
      const std::size_t depth = std::stoul(argv[i]);
      if (depth < 2) throw std::runtime_error("a depth is a number of backups, at least 2");
      Bench bench(fs::absolute(argv[1]).string(), fs::absolute(argv[2]) / argv[i], argv[3], depth);
      prepare ? bench.prepare() : bench.go();
    }
    return 0;
  } catch (const std::exception& error) {
    fmt::print(stderr, "history_bench: {}\n", error.what());
    return 1;
  }
}
