#include "git/tips.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>

#include "base/checksum.hpp"
#include "git/folder.hpp"
#include "git/raw_object.hpp"
#include "keepway/small_file.hpp"
#include "keepway/text.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t fields = 5;
constexpr std::string_view settled_mark = "settled ";  // before the ref's name
// Lines that others cut back, time and again; more are no news.
constexpr std::size_t most = 64;

fs::path file_in(const fs::path& git_folder) {
  return git_folder / "keepway" / "tips";
}

// "REF TAB ID TAB TIME TAB DIGEST TAB SUMMARY", escaped.
std::optional<RememberedTip> read_line(std::string_view line) {
  std::vector<std::string> found;
  for (std::size_t at = 0; at <= line.size();) {
    const std::size_t end = std::min(line.find('\t', at), line.size());
    auto field = unescape(line.substr(at, end - at));
    if (!field) return std::nullopt;
    found.push_back(std::move(*field));
    at = end + 1;
  }
  const auto id = found.size() == fields ? parse_hex(found[1]) : std::nullopt;
  if (!id) return std::nullopt;
  RememberedTip tip{std::move(found[0]), *id, 0, std::move(found[4]), std::move(found[3])};
  std::from_chars(found[2].data(), found[2].data() + found[2].size(), tip.at);
  tip.settled = tip.ref.starts_with(settled_mark);
  if (tip.settled) tip.ref.erase(0, settled_mark.size());
  return tip;
}

std::string write_line(const RememberedTip& tip) {
  return fmt::format("{}{}\t{}\t{}\t{}\t{}\n", tip.settled ? settled_mark : "", escape(tip.ref),
                     oid_text(tip.id), tip.at, escape(tip.digest), escape(tip.summary));
}

void write(const fs::path& git_folder, const std::vector<RememberedTip>& tips) noexcept {
  try {
    std::string text;
    for (const RememberedTip& each : tips) text += write_line(each);
    seal(text);
    // Written beside it and renamed, so that one who is killed leaves the old one.
    const fs::path path = file_in(git_folder);
    const fs::path aside = path.string() + ".new";
    fs::create_directory(path.parent_path());
    const Fd file(::open(aside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0644));
    if (!file) return;
    write_all(file.get(), text, aside.string());
    fs::rename(aside, path);
  } catch (...) {  // NOLINT(bugprone-empty-catch): what is not remembered is not reported
  }
}

}  // namespace

std::optional<std::vector<RememberedTip>> remembered_tips(const fs::path& git_folder) {
  std::vector<RememberedTip> tips;
  std::error_code absent;
  if (!fs::exists(file_in(git_folder), absent)) return tips;
  const std::string bytes = read_small_file(file_in(git_folder)).value_or("");
  auto rest = unsealed(bytes);
  if (!rest) return std::nullopt;
  while (!rest->empty()) {
    const std::size_t end = std::min(rest->find('\n'), rest->size());
    if (auto line = read_line(rest->substr(0, end))) tips.push_back(std::move(*line));
    rest->remove_prefix(std::min(end + 1, rest->size()));
  }
  return tips;
}

void remember_tip(const fs::path& git_folder, const RememberedTip& tip,
                  const std::function<bool(const git_oid&)>& is_on) {
  std::vector<RememberedTip> tips = remembered_tips(git_folder).value_or(std::vector<RememberedTip>());
  std::erase_if(tips, [&](const RememberedTip& other) {
    return !other.settled && other.ref == tip.ref && is_on(other.id);
  });
  const auto oldest = std::find_if(tips.begin(), tips.end(), [](const auto& each) { return !each.settled; });
  if (tips.size() >= most && oldest != tips.end()) tips.erase(oldest);
  tips.push_back(tip);
  write(git_folder, tips);
}

void settle_tips(const fs::path& git_folder, const std::vector<std::pair<std::string, git_oid>>& lines) {
  std::vector<RememberedTip> tips;
  tips.reserve(lines.size());
  for (const auto& [ref, id] : lines) tips.push_back({ref, id, 0, {}, {}, true});
  write(git_folder, tips);
}

}  // namespace keepway::store
