#include "audit/audit.hpp"

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <iterator>
#include <memory>
#include <thread>

#include "base/parallel.hpp"
#include "git/dead_locks.hpp"
#include "git/lock.hpp"
#include "git/settings_record.hpp"
#include "git/tips.hpp"
#include "keepway/time.hpp"

namespace keepway {
namespace fs = std::filesystem;
namespace {

using Progress = std::function<void(std::string_view, std::size_t, std::size_t)>;

// Nothing may move while refs and folder are read. Where nothing can be written, nobody else writes either.
std::unique_ptr<store::Lock> lock_if_writable(const fs::path& git_folder) {
  if (::access(git_folder.c_str(), W_OK) != 0) return nullptr;
  return std::make_unique<store::Lock>(git_folder);
}

// What is in the way of whoever wants to store, and who has it.
void report_locks(const fs::path& git_folder, store::Findings& findings) {
  for (const store::GitLock& lock : store::git_locks(git_folder)) {
    Finding finding{Concern::note, "lock-in-the-way",
                    ".git/" + lock.path.lexically_relative(git_folder).string(),
                    fmt::format("a lock file of Git's, from {}, ", format_time(lock.since.tv_sec)),
                    "wait until that program is done"};
    if (lock.holder == "?") {
      finding.concern = Concern::look;
      finding.what += "which another user or another computer may hold";
      finding.remedy = "make sure that no Git program is running in this folder, then remove the file";
    } else if (lock.holder.empty()) {
      finding.what += "held by no running program";
      finding.remedy = "the next command that stores something removes it";
    } else {
      finding.what += "held by " + lock.holder;
    }
    findings.push_back(std::move(finding));
  }
}

// The configuration of whoever runs this, when Git cannot read it: it is no part of the machine.
std::optional<std::string> user_config_fault() {
  for (const auto find : {git_config_find_global, git_config_find_xdg, git_config_find_system}) {
    git_buf path{};
    std::optional<std::string> fault;
    if (find(&path) == 0) {
      git_config* raw = nullptr;
      if (git_config_open_ondisk(&raw, path.ptr) != 0) {
        const git_error* last = git_error_last();
        fault = fmt::format("{}: {}", path.ptr, last != nullptr ? last->message : "it cannot be read");
      }
      const store::ConfigHandle config(raw);
    }
    git_buf_dispose(&path);
    if (fault) return fault;
  }
  return std::nullopt;
}

// What changes when another program puts a repository's files in other places: names and times of its
// folders.
std::string arrangement(const fs::path& git_folder) {
  std::string out;
  const auto add = [&](const fs::path& path) {
    struct stat found {};
    if (::lstat(path.c_str(), &found) != 0) return;
    out += fmt::format("{} {} {} {} {}\n", path.string(), found.st_ino, found.st_size, found.st_mtim.tv_sec,
                       found.st_mtim.tv_nsec);
  };
  for (const char* each : {"HEAD", "index", "config", "packed-refs", "objects/info"}) add(git_folder / each);
  for (const char* each : {"objects", "refs", "logs"}) {
    std::error_code failed;
    add(git_folder / each);
    for (fs::recursive_directory_iterator at(git_folder / each, failed), end; !failed && at != end;
         at.increment(failed)) {
      std::error_code gone;
      if (std::string_view(each) != "objects" || at->is_directory(gone)) add(at->path());
    }
  }
  return out;
}

// What any command does first: finishing what a cut-off program left. What hinders it is a finding.
std::optional<Machine> open_as_any_command(const fs::path& folder, Audit& audit) {
  try {
    Machine machine = Machine::open(folder);
    if (const std::string& trouble = machine.repository().work_tree_trouble(); !trouble.empty()) {
      audit.findings.push_back(
          {Concern::look, "folder-not-whole", "",
           fmt::format("the machine's folder could not be updated to its newest backup: {}", trouble),
           "nothing stored is affected; make sure that the folder can be written"});
    }
    if (const auto& held = machine.repository().writes_held()) {
      audit.findings.push_back({Concern::look, "step-unfinished", ".git/keepway/step", held->what(),
                                fmt::format("nothing stored is affected; {}", held->remedy())});
    }
    return machine;
  } catch (const Error& error) {
    if (const auto fault = user_config_fault()) {
      audit.findings.push_back(
          {Concern::look, "user-config", "",
           fmt::format("your own Git configuration cannot be read, and no command opens a machine "
                       "with it ({})",
                       *fault),
           "put that file right; nothing of the machine is touched by it"});
      return std::nullopt;
    }
    const bool own_file = error.kind() == ErrorKind::input;
    audit.findings.push_back(
        {own_file ? Concern::look : Concern::damage, "does-not-open", error.place().text(),
         fmt::format("no command can open this machine: {}", error.what()), error.remedy()});
  }
  return std::nullopt;
}

struct Pass {
  Audit audit;
  store::Frame frame;
  std::unique_ptr<store::Objects> objects;
  std::unique_ptr<audits::History> history;
};

std::function<void(std::size_t, std::size_t)> stage(const Progress& progress, std::string_view name) {
  if (!progress) return {};
  return [&progress, name](std::size_t done, std::size_t total) { progress(name, done, total); };
}

Pass run(const fs::path& folder, const Progress& progress) {
  Pass pass;
  Audit& audit = pass.audit;
  audit.machine = fs::absolute(folder).lexically_normal().filename().string();
  const fs::path git_folder = folder / ".git";
  const auto machine = open_as_any_command(folder, audit);
  const auto lock = lock_if_writable(git_folder);
  report_locks(git_folder, audit.findings);
  store::verify_settings(git_folder, audit.findings);
  pass.frame = store::read_frame(git_folder, audit.findings);
  pass.objects =
      std::make_unique<store::Objects>(git_folder, audit.findings, stage(progress, "reading objects"));
  // libgit2 trusts a pack's index: what it says is not followed where one is damaged.
  const auto& bad = pass.objects->bad_files();
  const bool are_packs_whole = std::none_of(bad.begin(), bad.end(), [](const store::BadFile& file) {
    return file.path.parent_path().filename() == "pack";
  });
  audits::History::Past past;
  if (machine && are_packs_whole) {
    past = [&](const git_oid& lost) {
      const auto next = machine->repository().past(store::oid_text(lost));
      return next ? store::parse_hex(*next) : std::nullopt;
    };
  }
  pass.history = std::make_unique<audits::History>(*pass.objects, pass.frame, past, audit.findings);
  audits::check_lines(git_folder, *pass.objects, pass.frame, *pass.history, audit.findings);
  audits::check_work_tree(folder, *pass.objects, pass.frame, *pass.history, audit.findings);
  store::Findings memories;
  in_parallel(2, true, [&](std::size_t part) {
    if (part == 0) {
      audits::check_backups(*pass.objects, *pass.history, audit, progress);
    } else {
      audits::check_memories(git_folder, machine ? &*machine : nullptr, *pass.objects, pass.frame, memories);
    }
  });
  audits::check_amendments(pass.frame, *pass.history, audit.findings);
  std::move(memories.begin(), memories.end(), std::back_inserter(audit.findings));
  audit.objects = pass.objects->count();
  audit.bytes = pass.objects->bytes();
  audit.refs = pass.frame.refs.size();
  std::stable_sort(audit.findings.begin(), audit.findings.end(),
                   [](const Finding& a, const Finding& b) { return a.concern > b.concern; });
  return pass;
}

bool same_finding(const Finding& a, const Finding& b) {
  return a.code == b.code && a.where == b.where && a.what == b.what;
}

// Git may put objects and refs in other places at any time (gc, repack), and knows no lock of ours. What is
// found while it does may be a look at two moments at once: it counts when it is found again, each time,
// until a pass saw nothing move.
Pass run_settled(const fs::path& folder, const Progress& progress) {
  constexpr int most_passes = 12;
  std::optional<std::vector<Finding>> held;
  for (int passes = 1;; ++passes) {
    const std::string before = arrangement(folder / ".git");
    const auto settled = [&] { return passes == most_passes || arrangement(folder / ".git") == before; };
    try {
      Pass pass = run(folder, progress);
      auto& found = pass.audit.findings;
      if (held) {
        std::erase_if(found, [&](const Finding& each) {
          return std::none_of(held->begin(), held->end(),
                              [&](const Finding& other) { return same_finding(each, other); });
        });
      }
      const bool heavy = std::any_of(found.begin(), found.end(),
                                     [](const Finding& each) { return each.concern != Concern::note; });
      if (!heavy || settled()) return pass;
      held = std::move(found);
    } catch (const Error&) {
      if (settled()) throw;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(20) * passes);
  }
}

std::vector<std::string> repair(const fs::path& folder, const Pass& pass, const std::string& from) {
  const fs::path git_folder = folder / ".git";
  std::vector<std::string> done;
  const auto append = [&](std::vector<std::string> more) {
    done.insert(done.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
  };
  {
    const store::Lock lock(git_folder);
    git_repository* raw = nullptr;
    const bool opens =
        git_repository_open_ext(&raw, folder.c_str(), GIT_REPOSITORY_OPEN_NO_SEARCH, nullptr) == 0;
    const store::RepoHandle repo(raw);
    if (!opens && store::restore_configuration(git_folder))
      done.emplace_back("Git's configuration put back as recorded");
    const store::Donor donor(from, git_folder);
    append(store::repair_objects(git_folder, *pass.objects, pass.history->wanted(), donor));
    append(store::repair_frame(git_folder, pass.frame, *pass.objects, donor));
  }
  try {
    store::Repository::open(folder).repair({"state/", "originals/"});
  } catch (const Error&) {
    // The next look says what is still in the way.
  }
  return done;
}

}  // namespace

std::string_view concern_name(Concern concern) {
  switch (concern) {
    case Concern::note:
      return "note";
    case Concern::look:
      return "look";
    case Concern::damage:
      break;
  }
  return "damage";
}

std::optional<Concern> Audit::worst() const {
  const auto worst =
      std::max_element(findings.begin(), findings.end(),
                       [](const Finding& a, const Finding& b) { return a.concern < b.concern; });
  return worst == findings.end() ? std::nullopt : std::optional(worst->concern);
}

Audit audit(const fs::path& folder, const AuditOptions& options) {
  std::error_code failed;
  if (!fs::is_directory(folder / ".git", failed)) {
    throw Error(
        ErrorKind::usage, fmt::format("{} holds no repository", escape(folder.string())),
        "name a machine of this shop; one that has lost its .git folder: move the folder elsewhere, then "
        "bring the machine back with keepway sync NAME --to URL");
  }
  store::start_library();
  Pass pass = run_settled(folder, options.progress);
  if (options.from.empty()) return std::move(pass.audit);
  std::vector<std::string> repaired;
  // What is brought may show that more is wanted: a tree names files, a commit trees.
  constexpr int most_rounds = 8;
  for (int round = 0; round < most_rounds; ++round) {
    auto done = repair(folder, pass, options.from);
    if (done.empty()) break;
    repaired.insert(repaired.end(), std::make_move_iterator(done.begin()),
                    std::make_move_iterator(done.end()));
    pass = run_settled(folder, options.progress);
  }
  pass.audit.repaired = std::move(repaired);
  return std::move(pass.audit);
}

void settle(const fs::path& folder) {
  store::start_library();
  const store::Lock lock(folder / ".git");
  store::remember_settings(folder / ".git");
  store::Findings findings;  // the audit's to report
  std::vector<std::pair<std::string, git_oid>> lines;
  for (const store::FoundRef& ref : store::read_frame(folder / ".git", findings).refs) {
    if (ref.id && ref.name.starts_with("refs/heads/")) lines.emplace_back(ref.name, *ref.id);
  }
  store::settle_tips(folder / ".git", lines);
}

}  // namespace keepway
