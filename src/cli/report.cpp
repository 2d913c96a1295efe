#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <memory>
#include <stdexcept>

#include "cli/progress.hpp"
#include "cli/site.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

// By what a folder is known to hold a report; written before all else.
constexpr const char* own_file = "assets/keepway.js";

// The folder cannot be written: that ends the report, whichever machine it was at.
struct CannotWrite : std::runtime_error {
  explicit CannotWrite(Error why) : std::runtime_error(why.what()), error(std::move(why)) {}
  Error error;
};

// A report as it is written. Files and folders that were made for it go again unless it is kept; those of an
// older report, which it wrote over, stay, and with them the sign that the folder holds one.
class Site {
 public:
  explicit Site(fs::path folder) : folder_(std::move(folder)) {}
  Site(const Site&) = delete;
  Site& operator=(const Site&) = delete;
  Site(Site&&) = delete;
  Site& operator=(Site&&) = delete;
  ~Site() {
    if (!kept_) remove_from(0);
  }

  void write(const std::string& path, std::string_view bytes) {
    const fs::path file = folder_ / path;
    make_folder(file.parent_path());
    std::error_code failed;
    if (!fs::exists(file, failed)) made_.push_back(file);
    std::ofstream out(file, std::ios::binary | std::ios::trunc);
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    out.close();
    if (!out) {
      throw CannotWrite(
          Error(ErrorKind::store, "cannot write the report",
                "check that the folder may be written and that its disk is not full; then try again",
                Place{escape(file.string())}));
    }
    ++count_.files;
    count_.bytes += bytes.size();
  }

  struct Count {
    std::uint64_t files = 0;
    std::uint64_t bytes = 0;
    std::size_t made = 0;
  };
  [[nodiscard]] Count count() const { return {count_.files, count_.bytes, made_.size()}; }
  // Takes away what was written since.
  void back_to(const Count& before) {
    remove_from(before.made);
    count_ = before;
  }
  void keep() { kept_ = true; }

 private:
  void make_folder(const fs::path& folder) {
    std::error_code failed;
    if (folder.empty() || fs::exists(folder, failed)) return;
    make_folder(folder.parent_path());
    if (fs::create_directory(folder, failed)) made_.push_back(folder);
  }

  void remove_from(std::size_t first) {
    std::error_code ignored;  // a folder that others wrote to stays
    while (made_.size() > first) {
      fs::remove(made_.back(), ignored);
      made_.pop_back();
    }
  }

  fs::path folder_;
  std::vector<fs::path> made_;  // files and folders, each after the one it lies in
  Count count_;
  bool kept_ = false;
};

void check_target(const fs::path& folder, bool replace) {
  std::error_code failed;
  if (!fs::exists(folder, failed)) return;
  if (!fs::is_directory(folder, failed)) {
    throw Error(ErrorKind::refused, fmt::format("{} exists and is not a folder", escape(folder.string())),
                "name another folder");
  }
  if (fs::is_empty(folder, failed)) return;
  const bool own = fs::exists(folder / own_file, failed);
  if (own && replace) return;
  throw Error(ErrorKind::refused, fmt::format("{} is not empty", escape(folder.string())),
              own ? "use --replace to write over the report that is there" : "name a new folder");
}

void write_machine(Site& site, const std::string& prefix, const Shown& shown) {
  const std::vector<std::string> paths = shown.pages->paths();
  for (std::size_t i = 0; i < paths.size(); ++i) {
    Progress::step("files", i, paths.size(), shown.machine.facts().name);
    if (const auto bytes = shown.pages->file(paths[i])) site.write(prefix + paths[i], *bytes);
  }
}

void write_assets(Site& site) {
  const auto files = show::page_assets();
  for (const bool own : {true, false}) {
    for (const auto& file : files) {
      if ((file.path == own_file) == own) site.write(file.path, file.bytes);
    }
  }
}

// Each two of the shop's machines; of many, those of one layout alone, as the others' values say nothing of
// each other.
void write_twins(Site& site, const Shop& shop, const std::vector<std::string>& names) {
  constexpr std::size_t few = 20;
  std::vector<std::unique_ptr<TwinSideShown>> sides;
  for (const std::string& name : names) {
    if (auto side = twin_side(shop, name)) sides.push_back(std::move(side));
  }
  for (std::size_t b = 1; b < sides.size(); ++b) {
    for (std::size_t a = 0; a < b; ++a) {
      if (sides.size() > few && sides[a]->machine.layout_text() != sides[b]->machine.layout_text()) continue;
      const auto file = twins_page(*sides[a], *sides[b]);
      site.write(file.path, file.bytes);
    }
  }
}

struct ReportOptions {
  std::string machine;
  std::string to;
  bool all = false;
  bool replace = false;
};

void run(Globals& globals, const ReportOptions& options) {
  if (options.machine.empty() && !options.all) {
    throw Error(ErrorKind::usage, "no machine is named", "name one, or ask for all with --all");
  }
  const Shop shop = open_shop(globals);
  const std::vector<std::string> names = options.all ? shop.machines() : std::vector{options.machine};
  if (!options.all) (void)shop.machine(options.machine);  // an unknown name, before anything is written
  check_target(options.to, options.replace);
  Site site(options.to);
  write_assets(site);
  std::vector<show::ShopMachine> list;
  std::vector<std::string> shown;
  const auto failures = for_each_machine(globals, names, options.all, [&](const std::string& name) {
    show::PageOptions pages;
    pages.assets = options.all ? "../../assets" : "assets";
    if (options.all) pages.shop = shop_title(shop);
    const Site::Count before = site.count();
    try {
      const auto machine = gather(shop, name, pages);
      write_machine(site, options.all ? fmt::format("machines/{}/", name) : "", *machine);
      list.push_back(summary(*machine));
      shown.push_back(name);
    } catch (const Error& error) {
      site.back_to(before);
      list.push_back(unreadable(name, error));
      throw;
    }
  });
  if (options.all) {
    for (const auto& file : show::shop_pages(shop_title(shop), list, now()))
      site.write(file.path, file.bytes);
    write_twins(site, shop, shown);
  }
  site.keep();
  print(globals,
        show::done(fmt::format("Wrote {} files to {}. Open {} in a browser.\n", site.count().files,
                               escape(options.to), escape((fs::path(options.to) / "index.html").string())),
                   {{"command", "report"},
                    {"to", escape(options.to)},
                    {"machines", fmt::format("{}", fmt::join(shown, " "))},
                    {"files", site.count().files},
                    {"bytes", site.count().bytes}},
                   failures));
  print_failures(failures);
}

}  // namespace

void add_report(Command app, Globals& globals) {
  auto options = std::make_shared<ReportOptions>();
  Command made = command(
      app, "report", "Write a machine's whole history as pages that open in any browser, from any disk",
      "keepway report mill-1 --to /media/stick/mill-1\n  keepway report --all --to ~/shop-pages --replace");
  Option machine = made->add_option("MACHINE", options->machine, "The machine");
  made->add_flag("--all", options->all, "All machines of the shop, with a list of them")->excludes(machine);
  made->add_option("--to", options->to, "Folder to write, empty or new; open its index.html")
      ->required()
      ->filled()
      ->type_name("DIR");
  made->add_flag("--replace", options->replace, "The folder may hold an older report, which is written over");
  made->callback([&globals, options] {
    try {
      run(globals, *options);
    } catch (const CannotWrite& failed) {
      throw Error(failed.error);
    }
  });
}

}  // namespace keepway::cli
