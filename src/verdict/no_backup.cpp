#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "verdict/checks.hpp"

namespace keepway::verdict {
namespace {

Reason refusal(std::string what, std::string what_to_do) {
  return {Worth::refused, "nothing-known", std::move(what), std::move(what_to_do), {}};
}

// A header field at the very beginning (RFC 5322, 2.2), and a part that is to be saved as a file (RFC 2183).
bool is_mail_with_attachment(std::string_view bytes) {
  constexpr std::size_t looked_at = 1U << 20U;
  const std::string text = lower(bytes.substr(0, looked_at));
  const std::size_t colon = text.find_first_not_of("abcdefghijklmnopqrstuvwxyz-");
  if (colon == 0 || colon == std::string::npos || text[colon] != ':') return false;
  return text.find("\nmime-version:") != std::string::npos &&
         text.find("\ncontent-disposition: attachment") != std::string::npos;
}

std::optional<Reason> empty(const media::Set& set) {
  if (!set.files.empty() || !set.flaws.empty()) return std::nullopt;
  const std::size_t deleted = static_cast<std::size_t>(std::count_if(
      set.deleted.begin(), set.deleted.end(), [](const media::Deleted& file) { return file.recoverable; }));
  return refusal(
      fmt::format("{} is empty: it holds no files", set.source),
      deleted > 0
          ? fmt::format("look for the right slot or medium; {} deleted file{} can be read with --recover",
                        deleted, deleted == 1 ? "" : "s")
          : "look for the right slot or medium, and whether the control did save to it");
}

// All of what is in the archive, so that nothing else in it is passed over.
std::optional<Reason> packed_twice(const media::Set& set) {
  if (!set.archive || set.files.empty()) return std::nullopt;
  const auto all_are = [&](media::Container kind) {
    return std::all_of(set.files.begin(), set.files.end(),
                       [&](const media::File& file) { return media::container_kind_of(file.bytes) == kind; });
  };
  const std::string name = escape(set.files.front().name);
  const bool images = all_are(media::Container::volumes);
  if (!images && !all_are(media::Container::archive)) return std::nullopt;
  return refusal(fmt::format("{} is {} inside an archive", name, images ? "a floppy image" : "an archive"),
                 fmt::format("unpack the archive, then name {} itself", name));
}

// The baseline may have been accepted in such folders: then the machine writes them.
std::optional<Reason> many_backups(const JudgeInput& input) {
  std::vector<std::string> folders = backups_within(input.layout, input.set, input.serial);
  if (folders.empty()) return std::nullopt;
  const auto had = [&](const std::string& folder) {
    return input.old_files != nullptr &&
           std::any_of(input.old_files->list.begin(), input.old_files->list.end(),
                       [&](const OldFile& file) { return file.name.starts_with(folder + "/"); });
  };
  if (std::any_of(folders.begin(), folders.end(), had)) return std::nullopt;
  return Reason{Worth::refused,
                "many-backups",
                look_like_backups(folders),
                "take them in one by one, oldest first, with 'keepway pile'; if this is one backup all the "
                "same, take it in with --accept",
                {},
                "folders"};
}

}  // namespace

std::optional<Reason> no_backup(const JudgeInput& input) {
  if (input.by_restore) {
    return refusal(
        "these files are what 'keepway restore' put together, with the date that it gave them: they did not "
        "come off the machine",
        "load them at the machine, back it up again onto an empty medium, and take that in: keepway confirm");
  }
  if (auto found = many_backups(input)) return found;
  const bool any = std::any_of(
      input.reading.files.begin(), input.reading.files.end(),
      [](const FileFacts& facts) { return facts.source != FileFacts::no_source || facts.wrong_serial; });
  if (any) return std::nullopt;
  if (auto found = empty(input.set)) return found;
  if (auto found = packed_twice(input.set)) return found;
  if (input.set.files.size() == 1 && is_mail_with_attachment(input.set.files.front().bytes)) {
    return refusal(fmt::format("{} is an e-mail with an attachment", escape(input.set.files.front().name)),
                   "save the attachment as a file, then name that file");
  }
  return std::nullopt;
}

}  // namespace keepway::verdict
