// Where a restore set goes: a folder, a new floppy image, a slot of a stick, a zip; recognised by the name.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "cli/parser.hpp"
#include "keepway/on_progress.hpp"
#include "keepway/restoring.hpp"
#include "keepway/slot_owner.hpp"

namespace keepway::cli {

struct TargetOptions {
  std::string to;
  std::size_t slot = 0;  // 0: none given
  bool no_keep = false;
  bool device = false;
  bool split = false;
  bool short_names = false;
  // At the counter, which has shown the slot: what it held then, see media::WriteOptions.
  std::string seen = {};
  std::string machine = {};  // whose files are written
  // Whose files a slot holds, as far as they say; may be empty. Those of another machine are overwritten only
  // with `overwrite`.
  std::function<SlotOwner(const media::Slot&)> holds = {};
  bool overwrite = false;
  OnProgress on_progress = {};
};

struct Written {
  std::string title;  // for people: "folder out", "slot 3 of stick.img"
  std::vector<std::string> paths;
  std::string kept;  // where a slot's old content went
  std::vector<media::ShortName> short_names = {};
  std::string short_names_in = {};  // where their table went
};

bool is_image(const std::string& path);  // by its ending
// Error{refused} for a path in a folder where a machine is kept; `shown` is the path for people.
void refuse_machine_folder(const std::filesystem::path& path, const std::string& shown);

void add_target_options(Command made, TargetOptions& options);
// Of a slot that holds files of another machine, as `another` says.
Error refuse_another_machines_slot(const std::string& another, const std::string& more = {});

// Writes, reads back, and says where. Errors as media's; a set that does not fit is reported with the images
// that would hold it.
Written write_target(const RestoreJob& job, const TargetOptions& options);

}  // namespace keepway::cli
