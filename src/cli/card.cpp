// What the card says: the layout's steps, and the files and offsets of the newest good backup, as far as they
// are there.
#include "cli/card.hpp"

#include <fmt/format.h>

#include <vector>

#include "cli/command.hpp"
#include "keepway/status.hpp"

namespace keepway::cli {
namespace {

// Of a backup that lost some: those that are there with their sizes, the others as such.
std::vector<show::SheetFile> files_that_are_there(const Machine& machine, const Backup& backup) {
  std::vector<show::SheetFile> files;
  for (const store::Blob& blob : machine.repository().list(backup.commit, "originals/")) {
    std::string empty_folder;
    const auto name = original_name(blob.path, &empty_folder);
    if (!name) continue;
    try {
      files.push_back({*name, machine.repository().read(blob.id).size()});
    } catch (const Error& error) {
      if (error.kind() != ErrorKind::store) throw;
      files.push_back({*name, std::nullopt, true});
    }
  }
  return files;
}

// Before the first good backup: the names that the layout asks for.
std::vector<show::SheetFile> wanted_files(const Machine& machine) {
  std::vector<show::SheetFile> files;
  for (const Source& source : machine.layout().sources) {
    if (!source.required) continue;
    for (std::string pattern : source.files) {
      if (const std::size_t at = pattern.find("{serial}"); at != std::string::npos)
        pattern.replace(at, 8, machine.facts().serial);
      files.push_back({std::move(pattern), std::nullopt});
    }
  }
  return files;
}

void list_files(const Machine& machine, show::SheetFacts& facts) {
  if (!facts.good) {
    facts.files = wanted_files(machine);
    return;
  }
  try {
    for (const media::File& file : machine.originals(facts.good->commit).files)
      facts.files.push_back({file.name, file.bytes.size()});
    return;
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::store) throw;
  }
  facts.lost = true;
  facts.files.clear();
  std::string listed = "the card names those";
  try {
    facts.files = files_that_are_there(machine, *facts.good);
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::store) throw;
    facts.files = wanted_files(machine);
    listed = "the card lists what the layout asks for";
  }
  machine.repository().say_lost(fmt::format("files of backup {} are lost: {}", name_of(*facts.good), listed),
                                {name_of(*facts.good)});
}

// None where they are lost: the card says so of the files.
Table offsets_of(const Machine& machine, const std::optional<Backup>& good) {
  if (!good) return {};
  try {
    return machine.state(good->commit).table(Group::offsets).value_or(Table{});
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::store) throw;
    return {};
  }
}

}  // namespace

Card card_of(const Machine& machine, show::Paper paper) {
  const auto layout = machine.repository().working_file("layout.toml");
  const auto good = machine.last_good();
  show::SheetFacts facts{machine.facts(),
                         parse_steps(layout.value_or(""), "layout.toml"),
                         good,
                         {},
                         now(),
                         paper,
                         false,
                         offsets_of(machine, good),
                         good ? machine.precision(good->commit) : Precision(),
                         machine_status(machine.repository().folder()).backup_due};
  list_files(machine, facts);
  return {show::sheet(facts), good, !facts.steps.backup.empty() && !facts.steps.restore.empty()};
}

}  // namespace keepway::cli
