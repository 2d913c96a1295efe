// The cache. A wrong file could give a wrong answer, so each is checked against what it was made from; since
// nothing is lost with it, one that is off is removed and made again.
#include <fmt/format.h>

#include <set>
#include <utility>

#include "audit/audit.hpp"
#include "git/followed_packs.hpp"
#include "git/known_blobs.hpp"
#include "reader/read_set.hpp"
#include "shop/backup_commit.hpp"
#include "shop/readings.hpp"
#include "shop/status_memory.hpp"

namespace keepway::audits {
namespace {

constexpr const char* made_again = "nothing stored is affected; it was removed, and is rebuilt";

std::optional<std::uint32_t> number_of(const store::CommitInfo& info) {
  const auto backup = backup_from_commit(info);
  return backup ? std::optional(number_on_main(*backup)) : std::nullopt;
}

void check_index(const Machine& machine, const store::Objects& objects, const store::Frame& frame,
                 store::Findings& findings) {
  const store::Repository& repository = machine.repository();
  std::vector<store::Oid> tips;
  for (const store::FoundRef& ref : frame.refs) {
    if (ref.id && objects.type(*ref.id) == GIT_OBJECT_COMMIT) tips.push_back(store::oid_text(*ref.id));
  }
  const auto checked = store::Index::check(repository, tips, number_of);
  if (checked.wrong == 0 && !checked.damaged) return;
  findings.push_back(
      {Concern::note, "index-off", ".git/keepway/cache/index",
       checked.wrong == 0
           ? "the index of item changes is damaged"
           : fmt::format("in the index of item changes, {} of {} backups differ from their commits",
                         checked.wrong, checked.commits),
       made_again});
  store::Index::drop(repository);
  (void)machine.backups();
}

using SeenFiles = std::set<std::pair<std::string, Sha256>>;

// Whether what is remembered says of a backup's files what reading them says. Those seen are passed over.
bool are_readings_sound(const Machine& machine, const Readings& readings, const media::Set& set,
                        SeenFiles& seen) {
  std::vector<OriginalView> files = views_of(set, sums_of(set).files);
  std::erase_if(files, [&](const OriginalView& file) {
    return !seen.emplace(std::string(file.name), *file.sum).second;
  });
  return readings.verify(machine.layout(), machine.read_context(), files);
}

// They are of the newest backup and of the one before it, or of some that were read in a folder since taken
// back.
void check_readings(const Machine& machine, store::Findings& findings) {
  const Readings readings(machine.repository(), machine.layout_text(), machine.read_context());
  try {
    std::vector<store::Oid> last;
    const store::Repository& repository = machine.repository();
    repository.walk(repository.tip().value_or(""), [&](const store::CommitInfo& info) {
      if (backup_from_commit(info)) last.push_back(info.id);
      return last.size() < 2;
    });
    SeenFiles seen;
    bool sound = are_readings_sound(machine, readings, {}, seen);
    for (const store::Oid& commit : last)
      sound = sound && are_readings_sound(machine, readings, machine.originals(commit), seen);
    if (sound) return;
  } catch (const Error&) {
    return;  // what it is checked against cannot be read: reported already
  }
  findings.push_back({Concern::note, "readings-off", ".git/keepway/cache/readings",
                      "the cached reading of the newest backup is damaged", made_again});
  readings.drop();
}

}  // namespace

void check_memories(const std::filesystem::path& git_folder, const Machine* machine,
                    const store::Objects& objects, const store::Frame& frame, store::Findings& findings) {
  const auto content = [&](const git_oid& id) {
    return objects.whole(id) ? std::optional(objects.read(id)) : std::nullopt;
  };
  if (!store::KnownBlobs::sound(git_folder, content)) {
    findings.push_back({Concern::note, "blobs-off", ".git/keepway/cache/blobs",
                        "the cache of the files stored last is damaged", made_again});
    store::KnownBlobs::drop(git_folder);
  }
  if (!store::FollowedPacks::sound(git_folder)) {
    findings.push_back({Concern::note, "packs-off", ".git/keepway/cache/followed-packs",
                        "the cache of the packs that were looked through is damaged", made_again});
    store::FollowedPacks::drop(git_folder);
  }
  if (machine == nullptr) return;
  check_readings(*machine, findings);
  if (!status_memory_sound(machine->repository())) {
    findings.push_back({Concern::note, "status-off", ".git/keepway/cache/status",
                        "the cache for 'keepway status' is damaged", made_again});
    drop_status_memory(machine->repository());
  }
  try {
    check_index(*machine, objects, frame, findings);
  } catch (const Error&) {
    // What it is checked against cannot be read: reported already.
  }
}

}  // namespace keepway::audits
