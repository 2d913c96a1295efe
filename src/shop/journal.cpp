#include "shop/journal.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <charconv>
#include <vector>

#include "base/durable.hpp"
#include "keepway/small_file.hpp"
#include "keepway/state.hpp"

namespace keepway {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t fields = 6;

fs::path step_file(const store::Repository& repository) {
  return repository.folder() / ".git/keepway/step";
}

void make_folder_of(const fs::path& file) {
  (void)make_folders(file.parent_path());  // what cannot be made is found out by who writes into it
}

}  // namespace

void write_step(const store::Repository& repository, const Step& step) {
  repository.require_writes();  // the step before must not be written over
  const fs::path file = step_file(repository);
  make_folder_of(file);
  std::string text;
  for (const std::string& field :
       {step.kind, step.name, step.commit, step.by, step.note, std::to_string(step.now)}) {
    (text += escape(field)) += '\t';
  }
  text.back() = '\n';
  if (!write_small_file(file, text)) {
    throw Error(ErrorKind::store, "cannot write into the machine's repository",
                "check that its folder may be written and that the disk is not full", Place{file.string()});
  }
}

std::optional<Step> read_step(const store::Repository& repository) {
  const auto text = read_small_file(step_file(repository));
  if (!text || text->empty() || text->back() != '\n') return std::nullopt;
  std::vector<std::string> found;
  for (std::size_t at = 0; at < text->size();) {
    const std::size_t end = std::min(text->find('\t', at), text->size() - 1);
    auto field = unescape(std::string_view(*text).substr(at, end - at));
    if (!field) return std::nullopt;
    found.push_back(std::move(*field));
    at = end + 1;
  }
  if (found.size() != fields) return std::nullopt;
  Step step{found[0], found[1], found[2], found[3], found[4], 0};
  std::from_chars(found[5].data(), found[5].data() + found[5].size(), step.now);
  return step;
}

void clear_step(const store::Repository& repository) {
  const fs::path file = step_file(repository);
  // A step that comes back after a power cut would be done a second time, over what was done since.
  if (::unlink(file.c_str()) == 0) (void)sync_names(file.parent_path());
}

StepClaim::StepClaim(const store::Repository& repository) {
  const fs::path path = step_file(repository).replace_extension(".claim");
  make_folder_of(path);
  file_ = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
  if (file_ < 0 || ::flock(file_, LOCK_EX | LOCK_NB) == 0) return;
  ::close(file_);
  file_ = -1;
}

StepClaim::~StepClaim() {
  if (file_ >= 0) ::close(file_);
}

void StepClaim::require() const {
  if (held()) return;
  throw Error(ErrorKind::store,
              "the machine's trials cannot be changed now: another program is changing them, or the folder "
              "cannot be written",
              "wait until the other program is done, or check the folder's permissions; then try again");
}

}  // namespace keepway
