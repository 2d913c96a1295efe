#include "cli/prepare.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <filesystem>
#include <iostream>

#include "cli/progress.hpp"
#include "cli/target.hpp"
#include "cli/terminal.hpp"
#include "keepway/prepare.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

void replace_all(std::string& text, std::string_view from, const std::string& to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
    text.replace(at, from.size(), to);
}

// One label a slot. Without a template each slot has the name of a machine of the shop, as far as they go.
std::vector<std::string> labels_of(const PrepareOptions& options, const std::vector<Machine>& machines) {
  const std::string form = options.label.value_or("{machine}");
  const bool by_machine = form.find("{machine}") != std::string::npos;
  if (by_machine && options.label && machines.empty()) {
    throw Error(ErrorKind::usage, "the label has {machine} in it, and there is no shop with machines here",
                "name the shop with --shop, or write the label itself: --label 'MILL {slot}'");
  }
  std::vector<std::string> labels;
  for (std::size_t i = 0; i < options.count; ++i) {
    if (by_machine && i >= machines.size()) break;  // the slots behind the last machine's are spare
    std::string label = form;
    if (by_machine) replace_all(label, "{machine}", machines[i].facts().name);
    replace_all(label, "{slot}", std::to_string(options.first + i));
    labels.push_back(media::volume_label(label));
  }
  return labels;
}

// A name has to be typed by whoever has read what goes; a program gives it with --confirm.
void ask_for_name(const std::string& name, const std::string& given) {
  std::string typed = given;
  if (given.empty()) {
    if (::isatty(STDIN_FILENO) != 1 || ::isatty(STDERR_FILENO) != 1) {
      throw Error(
          ErrorKind::refused, "there is no terminal to ask at, and nothing was written",
          fmt::format("read what would go; then run it at a terminal, or add --confirm {}", escape(name)));
    }
    put(stderr, fmt::format("To write this, type the name of the medium, {}: ", escape(name)));
    std::getline(std::cin, typed);
  }
  if (typed == name) return;
  throw Error(
      ErrorKind::refused,
      fmt::format("'{}' is not the name of the medium, {}; nothing was written", escape(typed), escape(name)),
      "look again at which medium it is; the same command asks again");
}

}  // namespace

void add_prepare_options(Command made, PrepareOptions& options) {
  constexpr std::size_t most_slots = 5'826;  // of 720 kB in 4 GiB
  Option prepare =
      made.add_option("--prepare", options.count,
                      "Write so many empty floppy-sized volumes; PATH may be a new image (NAME.img)")
          ->between(1, most_slots)
          ->type_name("COUNT");
  made.add_option("--first", options.first, "Number of the first slot to prepare; else 1")
      ->between(1, most_slots)
      ->needs(prepare)
      ->type_name("N");
  made.add_option("--spacing", options.spacing,
                  "From the start of one slot to the next, as the emulator's manual says; else as the slots "
                  "that are there")
      ->between(1, std::size_t{4} << 30U)
      ->needs(prepare)
      ->type_name("BYTES");
  made.add_option("--size", options.size, "Size of each volume in kB; else 1440")
      ->one_of({"1440", "720"})
      ->needs(prepare);
  made.add_option("--label", options.label,
                  "Label of each volume; {slot} and {machine} in it stand for the slot's number and the "
                  "shop's machines in turn; else {machine}")
      ->needs(prepare)
      ->type_name("TEMPLATE");
  made.add_option("--confirm", options.confirm, "Name of the medium, in place of typing it when asked")
      ->filled()
      ->needs(prepare)
      ->type_name("NAME");
  made.add_flag("--device", options.device, "Allow PATH to be a block device that is written")
      ->needs(prepare);
  made.add_flag("--no-keep", options.no_keep, "Do not store the old content of slots first")->needs(prepare);
}

void prepare_medium(const Globals& globals, const std::string& path, const PrepareOptions& options,
                    const std::vector<Machine>& machines) {
  refuse_machine_folder(path, escape(path));
  std::error_code failed;
  if (!fs::exists(path, failed) && !is_image(path)) {
    throw Error(ErrorKind::usage, fmt::format("{} does not exist", escape(path)),
                "name a stick that is plugged in, or a new image that ends in .img");
  }
  media::PrepareRequest request;
  request.path = path;
  request.count = options.count;
  request.first = options.first;
  request.spacing = options.spacing;
  request.size = options.size == "720" ? media::FloppySize::kb720 : media::FloppySize::kb1440;
  request.labels = labels_of(options, machines);
  const media::PreparePlan plan = media::plan_prepare(request);
  media::WriteOptions write;
  write.device = options.device;
  write.keep = !options.no_keep;
  if (plan.exists) {
    Progress::stop();
    put(stderr, show::prepare_plan(plan, {}).text);
    if (plan.device && !options.device) {
      throw Error(ErrorKind::refused, fmt::format("{} is a block device; nothing was written", escape(path)),
                  "make sure that it is the right stick, then add --device");
    }
    if (plan.device && write.keep) {
      refuse_machine_folder(fs::current_path(), "the slots' old content, stored in this folder,");
    }
    ask_for_name(fs::path(path).filename().string(), options.confirm);
  }
  std::vector<std::string> kept;
  for (const fs::path& each : media::prepare(plan, write)) kept.push_back(each.string());
  print(globals, show::prepared(plan, kept, style(globals)));
}

}  // namespace keepway::cli
