#include "audit/audit.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <memory>

#include "git/lock.hpp"
#include "git/settings_record.hpp"
#include "git/stale.hpp"
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
void tell_locks(const fs::path& git_folder, store::Findings& findings) {
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
  tell_locks(git_folder, audit.findings);
  store::verify_settings(git_folder, audit.findings);
  pass.frame = store::read_frame(git_folder, audit.findings);
  pass.objects =
      std::make_unique<store::Objects>(git_folder, audit.findings, stage(progress, "reading objects"));
  pass.history = std::make_unique<audits::History>(*pass.objects, pass.frame, audit.findings);
  audits::check_work_tree(folder, *pass.objects, pass.frame, *pass.history, audit.findings);
  audits::check_backups(*pass.objects, *pass.history, audit, stage(progress, "making states again"));
  audits::check_amendments(pass.frame, *pass.history, audit.findings);
  audits::check_memories(git_folder, machine ? &*machine : nullptr, *pass.objects, pass.frame,
                         audit.findings);
  audit.objects = pass.objects->count();
  audit.bytes = pass.objects->bytes();
  audit.refs = pass.frame.refs.size();
  std::stable_sort(audit.findings.begin(), audit.findings.end(),
                   [](const Finding& a, const Finding& b) { return a.concern > b.concern; });
  return pass;
}

std::vector<std::string> mend(const fs::path& folder, const Pass& pass, const std::string& from) {
  const fs::path git_folder = folder / ".git";
  std::vector<std::string> told;
  const auto append = [&](std::vector<std::string> more) {
    told.insert(told.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
  };
  {
    const store::Lock lock(git_folder);
    git_repository* raw = nullptr;
    const bool opens =
        git_repository_open_ext(&raw, folder.c_str(), GIT_REPOSITORY_OPEN_NO_SEARCH, nullptr) == 0;
    const store::RepoHandle repo(raw);
    if (!opens && store::restore_configuration(git_folder))
      told.emplace_back("Git's configuration put back as recorded");
    const store::Donor donor(from, git_folder);
    append(store::mend_objects(git_folder, *pass.objects, pass.history->wanted(), donor));
    append(store::mend_frame(git_folder, pass.frame, *pass.objects, donor));
  }
  try {
    store::Repository::open(folder).repair({"state/", "originals/"});
  } catch (const Error&) {
    // The next look says what is still in the way.
  }
  return told;
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
    throw Error(ErrorKind::usage, fmt::format("{} holds no repository", escape(folder.string())),
                "name a machine of this shop, or bring its folder back from a clone");
  }
  store::start_library();
  Pass pass = run(folder, options.progress);
  if (options.from.empty()) return std::move(pass.audit);
  std::vector<std::string> repaired;
  // What is brought may show that more is wanted: a tree names files, a commit trees.
  constexpr int most_rounds = 8;
  for (int round = 0; round < most_rounds; ++round) {
    auto told = mend(folder, pass, options.from);
    if (told.empty()) break;
    repaired.insert(repaired.end(), std::make_move_iterator(told.begin()),
                    std::make_move_iterator(told.end()));
    pass = run(folder, options.progress);
  }
  pass.audit.repaired = std::move(repaired);
  return std::move(pass.audit);
}

void settle(const fs::path& folder) {
  store::start_library();
  const store::Lock lock(folder / ".git");
  store::remember_settings(folder / ".git");
}

}  // namespace keepway
