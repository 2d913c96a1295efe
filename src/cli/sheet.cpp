// The card that hangs on the machine, as a file.
#include <fmt/format.h>

#include <filesystem>
#include <memory>

#include "cli/card.hpp"
#include "cli/command.hpp"
#include "cli/target.hpp"
#include "keepway/small_file.hpp"
#include "keepway/text.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

std::string battery_due(const Battery& battery) {
  const auto due = battery.due();
  return due ? format_time(*due).substr(0, 10) : "";
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
    const auto paper = options->paper == "letter" ? show::Paper::letter : show::Paper::a4;
    const Card card = card_of(machine, paper);
    write_new(options->to, card.html, options->replace);
    std::string text = fmt::format("Wrote {}: two pages, {} paper.\n", escape(options->to), options->paper);
    if (!card.has_steps) {
      text += fmt::format(
          "The layout does not list all steps yet: add [[backup_step]] and [[restore_step]] to {}\n",
          escape((machine.repository().folder() / "layout.toml").string()));
    }
    if (!card.of) text += "There is no good backup yet: the card says so.\n";
    print(globals,
          show::done(text, {{"command", "sheet"},
                            {"machine", machine.facts().name},
                            {"to", escape(options->to)},
                            {"paper", options->paper},
                            {"backup", card.of ? show::Fact(static_cast<std::uint64_t>(card.of->number))
                                               : show::Fact(nullptr)},
                            {"battery_due", battery_due(machine.facts().battery)}}));
  });
}

}  // namespace keepway::cli
