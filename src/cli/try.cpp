// What a layout in work makes of files, again and again.
#include <fmt/format.h>

#include <chrono>
#include <csignal>
#include <filesystem>
#include <memory>
#include <thread>

#include "cli/command.hpp"
#include "cli/owner_file.hpp"

namespace keepway::cli {
namespace {

struct TryOptions {
  std::string layout;
  std::vector<std::string> paths;
  std::string serial;
  std::string units;
  std::size_t slot = 0;  // 0: none given
  bool watch = false;
};

volatile std::sig_atomic_t watch_ended = 0;

std::string layout_text(const std::string& given) {
  if (const auto text = builtin_layout(given)) return std::string(*text);
  return read_given_file(given);
}

// One backup, and what layouts make of it.
class Look {
 public:
  Look(const TryOptions& options, Globals& globals) : options_(options), globals_(globals) {
    media::ReadOptions read;
    if (options.slot != 0) read.slot = options.slot;
    for (const std::string& path : options.paths) sets_.push_back(media::read(path, read));
    for (const media::Set& set : sets_) {
      for (const media::File& file : set.files) files_.push_back({file.name, file.bytes});
    }
  }

  // Shows what the layout, as it is now, makes of the files; from the second time on, what that changes.
  void show() {
    const Layout layout = parse_layout(layout_text(options_.layout), options_.layout);
    const Units units = parse_units(options_.units).value_or(layout.units.value_or(Units::inch));
    Reading reading = read_backup(layout, {options_.serial, units}, files_);
    const Understood read = understood(layout, reading, files_);
    print(globals_,
          before_ ? show::tried_again(options_.layout, read, try_changes(*before_, reading), style(globals_))
                  : show::tried_layout(options_.layout, read, style(globals_)));
    globals_.exit = !show::all_understood(read) || read.sources.empty() ? Exit::look : Exit::done;
    before_ = std::move(reading);
  }

 private:
  const TryOptions& options_;
  Globals& globals_;
  std::vector<media::Set> sets_;
  std::vector<OriginalView> files_;
  std::optional<Reading> before_;
};

// By time and size, so that an editor that writes another file in its place is noticed as well.
std::pair<std::filesystem::file_time_type, std::uintmax_t> stamp_of(const std::string& file) {
  std::error_code ignored;
  const auto time = std::filesystem::last_write_time(file, ignored);
  return {time, std::filesystem::file_size(file, ignored)};
}

// Until Ctrl-C. A layout that cannot be read, as in the middle of an edit, is an error that is shown.
void watch(Look& look, const TryOptions& options, Globals& globals) {
  constexpr auto interval = std::chrono::milliseconds(200);
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) std::signal(signal, [](int) { watch_ended = 1; });
  auto stamp = stamp_of(options.layout);
  const auto attempt = [&] {
    try {
      look.show();
    } catch (const Error& error) {
      print_error(error);
      globals.exit = exit_of(error.kind());
    }
  };
  attempt();
  if (!globals.json) {
    print(globals,
          {fmt::format("\nWatching {}: each save is shown. Ctrl-C ends this.\n", options.layout), ""});
  }
  while (watch_ended == 0) {
    std::this_thread::sleep_for(interval);
    const auto now = stamp_of(options.layout);
    if (now == stamp) continue;
    stamp = now;
    attempt();
  }
}

}  // namespace

void add_try(Command app, Globals& globals) {
  auto options = std::make_shared<TryOptions>();
  Command made = command(app, "try", "Show what a layout makes of files, without storing anything",
                         "keepway try mill-1/layout.toml /media/stick/MILL1\n"
                         "  keepway try --watch mill-1/layout.toml /media/stick/MILL1");
  made->add_option("LAYOUT", options->layout, "A TOML file, or a layout that comes with keepway")
      ->required()
      ->filled();
  made->add_option("PATH", options->paths, "Files, folders, images or archives with a backup")->required();
  made->add_option("--slot", options->slot,
                   "Slot of a stick with many floppy-sized volumes ('keepway slots PATH' lists them)")
      ->between(1, 100000)
      ->type_name("N");
  made->add_option("--serial", options->serial, "The machine's serial number; without one any is taken")
      ->filled()
      ->type_name("S");
  made->add_option("--units", options->units, "Units of the machine; else the layout's, else inch")
      ->one_of({"inch", "mm"});
  made->add_flag(
      "--watch", options->watch,
      "Look again whenever LAYOUT is saved, and show what that changed; Ctrl-C ends it, with the exit "
      "code of the last look");
  made->callback([&globals, options] {
    Look look(*options, globals);
    if (options->watch) {
      watch(look, *options, globals);
    } else {
      look.show();
    }
  });
}

}  // namespace keepway::cli
