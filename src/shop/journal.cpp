#include "shop/journal.hpp"

#include <charconv>
#include <vector>

#include "keepway/state.hpp"
#include "shop/disk.hpp"

namespace keepway {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t fields = 6;

fs::path step_file(const store::Repository& repository) {
  return repository.folder() / ".git/keepway/step";
}

}  // namespace

void write_step(const store::Repository& repository, const Step& step) {
  const fs::path file = step_file(repository);
  std::error_code failed;
  fs::create_directories(file.parent_path(), failed);
  std::string text;
  for (const std::string& field :
       {step.kind, step.name, step.commit, step.by, step.note, std::to_string(step.now)}) {
    (text += escape(field)) += '\t';
  }
  text.back() = '\n';
  if (!write_small_file(file, text)) {
    throw Error(Exit::store, "cannot write into the machine's repository",
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
  std::error_code failed;
  fs::remove(step_file(repository), failed);
}

}  // namespace keepway
