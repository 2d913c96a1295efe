#include "cli/target.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "cli/command.hpp"
#include "cli/progress.hpp"
#include "cli/terminal.hpp"
#include "keepway/small_file.hpp"
#include "keepway/text.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

std::string ending(const std::string& path) {
  return lower(fs::path(path).extension().string());
}

// NAME.x1 is meant as a file; a date's last part is none, as in 2026.03.01.
bool looks_like_a_file(const std::string& end) {
  constexpr std::size_t longest = 5;  // with its point
  const auto is_letter = [](char c) { return c >= 'a' && c <= 'z'; };
  const auto is_plain = [&](char c) { return is_letter(c) || (c >= '0' && c <= '9'); };
  return end.size() > 1 && end.size() <= longest && std::all_of(end.begin() + 1, end.end(), is_plain) &&
         std::any_of(end.begin() + 1, end.end(), is_letter);
}

// A folder of such a name would be taken for an archive or another file.
void refuse_other_files(const std::string& path) {
  const std::string end = ending(path);
  std::error_code failed;
  if (is_image(path) || end == ".zip" || fs::is_directory(path, failed)) return;
  for (const char* each : {".tar", ".tgz", ".gz", ".bz2", ".xz", ".zst", ".7z", ".rar"}) {
    if (end != each) continue;
    throw Error(ErrorKind::usage,
                fmt::format("{} would be an archive that keepway does not write", escape(path)),
                "a restore set is written to a folder, NAME.img or NAME.zip: name one of these");
  }
  if (!looks_like_a_file(end)) return;
  throw Error(
      ErrorKind::usage,
      fmt::format("{} looks like the name of a file, of a kind that keepway does not write", escape(path)),
      fmt::format("write NAME.img (or .ima) for a floppy image, NAME.zip for an archive, or '{}/' for a "
                  "folder of that name",
                  escape(path)));
}

// "image 1: parameters, settings (AXES.417, PANEL.417)"
std::string share_text(const RestoreJob& job, const std::vector<media::Set>& parts) {
  std::string text;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    std::set<Group> groups;
    std::vector<std::string> names;
    for (const media::File& file : parts[i].files) {
      names.push_back(escape(file.name));
      for (const LoadStep& step : job.plan.steps) {
        // On a volume all names are in capitals.
        if (lower(step.file) == lower(file.name)) groups.insert(step.groups.begin(), step.groups.end());
      }
    }
    std::vector<std::string_view> titles;
    titles.reserve(groups.size());
    for (const Group group : groups) titles.push_back(group_name(group));
    constexpr std::size_t max_listed = 6;
    const std::size_t more = names.size() - std::min(names.size(), max_listed);
    names.resize(names.size() - more);
    text += fmt::format("\n  image {}: {} ({}{})", i + 1,
                        titles.empty() ? "other files" : fmt::format("{}", fmt::join(titles, ", ")),
                        fmt::join(names, ", "), more > 0 ? fmt::format(" and {} more", more) : "");
  }
  return text;
}

Written write_new_image(const RestoreJob& job, const TargetOptions& options) {
  if (options.split) {
    Written written{fmt::format("images like {}", options.to), {}, {}};
    for (const fs::path& path : media::write_images(job.set, options.to, options.on_progress))
      written.paths.push_back(path.string());
    return written;
  }
  try {
    media::write_image(job.set, options.to, options.on_progress);
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::refused || fs::exists(options.to)) throw;
    const auto parts = media::plan_split(job.set);
    if (parts.size() < 2) throw;
    throw Error(
        ErrorKind::refused,
        fmt::format("{}; it would take {} images:{}", error.what(), parts.size(), share_text(job, parts)),
        "write them all with --split (NAME-1.img, NAME-2.img …), or fewer files with --only GROUP");
  }
  return {fmt::format("image {}", options.to), {options.to}, {}};
}

// Refused where it is not yet allowed.
void say_what_goes(const TargetOptions& options, bool is_device) {
  const media::Target target = media::describe_target(options.to);
  const auto slot = std::find_if(target.slots.begin(), target.slots.end(),
                                 [&](const media::Slot& each) { return each.number == options.slot; });
  if (slot == target.slots.end()) return;  // media says which slots there are
  const SlotOwner holds = options.holds ? options.holds(*slot) : SlotOwner();
  const std::string another = is_of_another(holds, options.machine);
  const std::string text = show::overwritten(options.to, target, options.slot, holds).text;
  if (is_device && !options.device)
    throw Error(ErrorKind::refused, text, "make sure that it is the right stick, then add --device");
  if (!another.empty() && !options.overwrite) throw refuse_another_machines_slot(another, "; " + text);
  if (!is_device && slot->files.empty()) return;
  Progress::stop();
  put(stderr, fmt::format("keepway: {}\n", text));
}

Written write_into_slot(const RestoreJob& job, const TargetOptions& options) {
  std::error_code failed;
  if (!fs::exists(options.to, failed) || fs::is_directory(options.to, failed)) {
    throw Error(ErrorKind::usage, fmt::format("{} is not an existing image or stick", escape(options.to)),
                "name one that exists, or leave out --slot to make a new image or folder");
  }
  const bool is_device = fs::is_block_file(options.to, failed);
  if (options.seen.empty()) say_what_goes(options, is_device);
  if (is_device && !options.no_keep)
    refuse_machine_folder(fs::current_path(), "the slot's old content, stored in this folder,");
  media::WriteOptions write;
  write.device = options.device;
  write.keep = !options.no_keep;
  write.seen = options.seen;
  write.on_progress = options.on_progress;
  const fs::path kept = media::write_slot(job.set, options.to, options.slot, write);
  return {fmt::format("slot {} of {}", options.slot, options.to), {options.to}, kept.string()};
}

}  // namespace

Error refuse_another_machines_slot(const std::string& another, const std::string& more) {
  return {ErrorKind::refused,
          fmt::format("the slot is another machine's ({}), and nothing was written{}", another, more),
          "choose another slot; or, if these files are to go, add --overwrite"};
}

bool is_image(const std::string& path) {
  return ending(path) == ".img" || ending(path) == ".ima";
}

// A machine's folder is its repository, whose files are the machine's alone: a stray one would be in the
// way of the next intake's. Links are followed, as the system would.
void refuse_machine_folder(const fs::path& path, const std::string& shown) {
  std::error_code failed;
  for (fs::path at = fs::weakly_canonical(fs::absolute(path), failed); !failed && !at.empty();
       at = at.parent_path()) {
    if (fs::exists(at / "machine.toml", failed) && fs::exists(at / ".git", failed)) {
      throw Error(ErrorKind::refused,
                  fmt::format("{} lies in {}, where a machine is kept", shown, escape(at.string())),
                  "write to a folder or a medium outside of the machines' own folders");
    }
    if (at == at.parent_path()) break;
  }
}

void add_target_options(Command made, TargetOptions& options) {
  made.add_option("--to", options.to,
                  "Where to write: an empty or new folder; NAME.img, a new 1.44 MB floppy image; NAME.zip; "
                  "or an existing image or stick, with --slot")
      ->filled()
      ->type_name("DIR|NAME.img|NAME.zip");
  Option slot = made.add_option("--slot", options.slot,
                                "Write into this slot of the stick or image (keepway slots lists them)")
                    ->between(1, 100000)
                    ->type_name("N");
  made.add_flag("--no-keep", options.no_keep, "Do not store the slot's old content beside it first")
      ->needs(slot);
  made.add_flag("--device", options.device,
                "Allow the target to be a block device, whose slot is overwritten")
      ->needs(slot);
  made.add_flag("--split", options.split, "Write as many images as the files need")->excludes(slot);
  made.add_flag(
      "--short-names", options.short_names,
      "On a floppy, shorten the names that it cannot hold; the table is shown and written beside it");
}

namespace {

// NAME.names.txt beside an image; for a device in the current folder.
std::string write_table(const std::vector<media::ShortName>& names, const TargetOptions& options) {
  std::error_code failed;
  const fs::path to(options.to);
  const fs::path folder = fs::is_block_file(to, failed) ? fs::current_path() : to.parent_path();
  const std::string slot = options.slot == 0 ? "" : fmt::format(".slot-{}", options.slot);
  const fs::path file = folder / fmt::format("{}{}.names.txt", to.filename().string(), slot);
  refuse_machine_folder(file, "the table of short names");
  std::string text = "# on the floppy\tin the backup\n";
  for (const media::ShortName& each : names)
    text += fmt::format("{}\t{}\n", escape(each.on_floppy), escape(each.name));
  if (!write_small_file(file, text)) {
    throw Error(ErrorKind::store, "the table of short names cannot be written",
                "check the folder and your right to it", {escape(file.string())});
  }
  return file.string();
}

Written write_with_short_names(const RestoreJob& job, const TargetOptions& options) {
  if (options.slot == 0 && !is_image(options.to)) {
    throw Error(ErrorKind::usage, "--short-names is for floppies; other targets take names as they are",
                "leave it out, or name a floppy: --to NAME.img, or --slot N of a stick");
  }
  RestoreJob renamed = job;
  const std::vector<media::ShortName> names = media::shorten_names(renamed.set);
  TargetOptions plain = options;
  plain.short_names = false;
  Written written = write_target(renamed, plain);
  written.short_names = names;
  if (!names.empty()) written.short_names_in = write_table(names, options);
  return written;
}

}  // namespace

Written write_target(const RestoreJob& job, const TargetOptions& options) {
  if (options.short_names) return write_with_short_names(job, options);
  refuse_machine_folder(options.to, escape(options.to));
  if (options.slot != 0) return write_into_slot(job, options);
  refuse_other_files(options.to);
  std::error_code failed;
  if (fs::is_block_file(options.to, failed) || fs::is_regular_file(options.to, failed)) {
    const bool has_slots = fs::is_block_file(options.to, failed) || is_image(options.to);
    throw Error(
        ErrorKind::refused, fmt::format("{} already exists", escape(options.to)),
        !has_slots
            ? "choose a new name"
            : fmt::format("to write into one of its slots, name it: --slot N ('keepway slots {}' lists "
                          "them); or choose a new name",
                          escape(options.to)));
  }
  if (is_image(options.to)) return write_new_image(job, options);
  if (options.split) {
    throw Error(ErrorKind::usage, "--split is for floppy images", "name one: --to NAME.img --split");
  }
  if (ending(options.to) == ".zip") {
    media::write_archive(job.set, options.to, options.on_progress);
    return {fmt::format("archive {}", options.to), {options.to}, {}};
  }
  media::write_folder(job.set, options.to, options.on_progress);
  return {fmt::format("folder {}", options.to), {options.to}, {}};
}

}  // namespace keepway::cli
