#include "keepway/sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <memory>

#include "cli/command.hpp"
#include "cli/target.hpp"
#include "keepway/small_file.hpp"
#include "keepway/status.hpp"
#include "keepway/text.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

std::string battery_due(const Battery& battery) {
  const auto due = battery.due();
  return due ? format_time(*due).substr(0, 10) : "";
}

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

void write_new(const fs::path& file, const std::string& bytes, bool replace) {
  std::error_code failed;
  const std::string ending = lower(file.extension().string());
  if (ending != ".html" && ending != ".htm") {
    throw Error(ErrorKind::usage,
                fmt::format("{} would be a page of HTML under another name", escape(file.string())),
                "name it .html; a browser prints it, to a PDF file too");
  }
  refuse_machine_folder(file, escape(file.string()));
  if (fs::exists(file, failed) && !replace) {
    throw Error(ErrorKind::refused, fmt::format("{} already exists", escape(file.string())),
                "name another file, or write over it with --replace");
  }
  if (fs::exists(file, failed) && !fs::is_regular_file(file, failed)) {
    throw Error(ErrorKind::refused, fmt::format("{} exists and is not a file", escape(file.string())),
                "name another file");
  }
  // Beside it first: on a full disk there is the older card or none, and never half of one.
  if (!write_small_file(file, bytes)) {
    throw Error(ErrorKind::store, "cannot write the card",
                "check that its folder exists and may be written, and that the disk is not full",
                Place{escape(file.string())});
  }
}

}  // namespace

void add_sheet(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string to;
    std::string paper = "a4";
    bool replace = false;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "sheet", "Write the card that hangs on the machine: how to back it up, and how to restore",
              "keepway sheet mill-1 --to mill-1-card.html --paper letter");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->add_option("--to", options->to, "The file to write; open it in a browser and print it on both sides")
      ->required()
      ->filled()
      ->type_name("FILE.html");
  made->add_option("--paper", options->paper, "a4 or letter; by default a4")
      ->one_of({"a4", "letter"})
      ->type_name("SIZE");
  made->add_flag("--replace", options->replace, "Write over a file that is there");
  made->callback([&globals, options] {
    const Machine machine = open_shop(globals).machine(options->machine);
    const auto layout = machine.repository().working_file("layout.toml");
    const auto good = machine.last_good();
    show::SheetFacts facts{machine.facts(),
                           parse_steps(layout.value_or(""), "layout.toml"),
                           good,
                           {},
                           now(),
                           options->paper == "letter" ? show::Paper::letter : show::Paper::a4,
                           false,
                           offsets_of(machine, good),
                           good ? machine.precision(good->commit) : Precision(),
                           machine_status(machine.repository().folder()).backup_due};
    list_files(machine, facts);
    write_new(options->to, show::sheet(facts), options->replace);
    std::string text = fmt::format("Wrote {}: two pages, {} paper.\n", escape(options->to), options->paper);
    if (facts.steps.backup.empty() || facts.steps.restore.empty()) {
      text += fmt::format(
          "The layout does not list all steps yet: add [[backup_step]] and [[restore_step]] to {}\n",
          escape((machine.repository().folder() / "layout.toml").string()));
    }
    if (!facts.good) text += "There is no good backup yet: the card says so.\n";
    print(globals,
          show::done(text, {{"command", "sheet"},
                            {"machine", machine.facts().name},
                            {"to", escape(options->to)},
                            {"paper", options->paper},
                            {"backup", facts.good ? show::Fact(static_cast<std::uint64_t>(facts.good->number))
                                                  : show::Fact(nullptr)},
                            {"battery_due", battery_due(machine.facts().battery)}}));
  });
}

}  // namespace keepway::cli
