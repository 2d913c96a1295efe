#include <fmt/format.h>

#include <filesystem>
#include <memory>

#include "cli/acts.hpp"
#include "cli/command.hpp"
#include "cli/owner_file.hpp"
#include "cli/terminal.hpp"
#include "keepway/small_file.hpp"

namespace keepway::cli {

void add_survey(Command app, Globals& globals) {
  struct Options {
    std::vector<std::string> files;
    std::string to;
    std::string serial;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "survey", "Propose a layout from sample files: readers, keys, fields; check it on them",
              "keepway survey AXES.417 ZEROS.417 JOBS.417 --to knee-mill.toml");
  made->add_option("FILE", options->files, "Samples off one control, one of each kind or more")->required();
  made->add_option("--serial", options->serial, "The machine's serial number, where file names carry it")
      ->filled()
      ->type_name("S");
  made->add_option("--to", options->to, "Where to write the layout; else it is printed")
      ->filled()
      ->type_name("FILE.toml");
  made->callback([&globals, options] {
    if (!options->to.empty() && std::filesystem::exists(options->to)) {
      throw Error(ErrorKind::refused, fmt::format("{} already exists", escape(options->to)),
                  "name another file, or move that one out of the way");
    }
    std::vector<std::string> texts;
    std::vector<std::string> names;
    for (const std::string& file : options->files) {
      texts.push_back(read_given_file(file));
      names.push_back(std::filesystem::path(file).filename().string());
    }
    std::vector<OriginalView> samples;
    for (std::size_t i = 0; i < texts.size(); ++i) samples.push_back({names[i], texts[i]});
    const Survey found = survey(samples, options->serial);
    if (!options->to.empty() && !write_small_file(options->to, found.layout)) {
      throw Error(ErrorKind::store, fmt::format("{} cannot be written", escape(options->to)),
                  "check that its folder exists and may be written, and that the disk is not full");
    }
    put(stderr, other_serial_text(found));
    print(globals, show::survey(found, options->to, style(globals)));
    if (!found.left_out.empty()) globals.exit = Exit::look;
    for (const SurveyedFile& file : found.files) {
      if (file.unread > 0) globals.exit = Exit::look;
    }
  });
}

}  // namespace keepway::cli
