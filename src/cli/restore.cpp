#include "keepway/restore.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {
namespace {

std::vector<Group> groups_option(const std::vector<std::string>& names) {
  std::vector<Group> groups;
  for (const std::string& name : names) {
    const auto group = parse_group(name);
    if (!group) {
      throw Error(Exit::usage, fmt::format("'{}' is no group", escape(name)),
                  "name parameters, settings, offsets, variables or programs");
    }
    groups.push_back(*group);
  }
  return groups;
}

void refuse_doubtful(const Machine& machine, const Backup& backup) {
  std::string reasons;
  for (const std::string& reason : backup.reasons) reasons += "\n  ! " + escape(reason);
  throw Error(Exit::refused,
              fmt::format("backup #{} of {} is {}, and nothing was written; why:{}", backup.number,
                          machine.facts().name, worth_name(backup.worth), reasons),
              "choose a good one (keepway history), or put this one back all the same with --accept");
}

}  // namespace

void add_restore(CLI::App& app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string at;
    std::string to;
    std::vector<std::string> only;
    bool accept = false;
  };
  auto options = std::make_shared<Options>();
  CLI::App* made =
      command(app, "restore", "Put a past state back: its originals, byte for byte, into an empty folder",
              "keepway restore mill-1 --at '#6' --to /media/stick/RESTORE\n  keepway restore mill-1 --at "
              "2026-03-01 --to out --only parameters");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("--at", options->at, "'#N', a date, a mark, a trial or a Git revision")
      ->required()
      ->check(filled())
      ->type_name("WHEN");
  made->add_option("--to", options->to, "Folder to write to: empty, or not there yet")
      ->required()
      ->check(filled())
      ->type_name("DIR");
  made->add_option("--only", options->only, "Only files of these groups")->type_name("GROUP");
  made->add_flag("--accept", options->accept, "Put a doubtful backup back all the same");
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    const std::vector<Group> groups = groups_option(options->only);
    const Backup backup = machine.resolve(options->at);
    if (backup.worth != Worth::good && !options->accept) refuse_doubtful(machine, backup);

    media::Set set = machine.originals(backup.commit);
    if (const std::string digest = set_digest(set); digest != backup.digest) {
      throw Error(Exit::store,
                  fmt::format("the originals of backup #{} do not have the digest that they were stored with",
                              backup.number),
                  "the repository is damaged: check it with 'git fsck', and restore from a clone");
    }
    for (media::File& file : set.files) file.modified = backup.at;
    std::vector<OriginalView> views;
    for (const media::File& file : set.files) views.push_back({file.name, file.bytes});
    const Layout layout = machine.layout_at(backup.commit);
    const Reading reading = read_backup(layout, {machine.facts().serial, machine.facts().units}, views);
    const media::Set chosen = select_groups(set, reading, groups);
    if (chosen.files.empty() && !groups.empty()) {
      throw Error(
          Exit::usage, fmt::format("backup #{} has no file of the groups asked for", backup.number),
          fmt::format("see what it has: keepway show {} --at '#{}'", machine.facts().name, backup.number));
    }
    std::vector<LoadStep> steps;
    for (LoadStep& step : load_order(set, reading, layout)) {
      const auto same = [&](const media::File& file) { return file.name == step.file; };
      if (std::any_of(chosen.files.begin(), chosen.files.end(), same)) steps.push_back(std::move(step));
    }
    media::write_folder(chosen, options->to);
    show::RestoreFacts facts{backup, options->to,       std::move(steps), groups, chosen.files.size(),
                             0,      set_digest(chosen)};
    for (const media::File& file : chosen.files) facts.bytes += file.bytes.size();
    print(globals, show::restored(context(globals, machine), facts));
  });
}

}  // namespace keepway::cli
