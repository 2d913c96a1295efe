#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <memory>

#include "cli/progress.hpp"
#include "cli/site.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

// By what a folder is known to hold a report.
constexpr const char* own_file = "assets/keepway.js";

class Site {
 public:
  explicit Site(fs::path folder) : folder_(std::move(folder)) {}

  void write(const std::string& path, std::string_view bytes) {
    const fs::path file = folder_ / path;
    std::error_code failed;
    fs::create_directories(file.parent_path(), failed);
    std::ofstream out(file, std::ios::binary | std::ios::trunc);
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    out.close();
    if (!out) {
      throw Error(Exit::store, "cannot write the report",
                  "check that the folder may be written and that its disk is not full; then make it again",
                  Place{escape(file.string())});
    }
    ++files;
    bytes_written += bytes.size();
  }

  std::size_t files = 0;
  std::uint64_t bytes_written = 0;

 private:
  fs::path folder_;
};

void check_target(const fs::path& folder, bool replace) {
  std::error_code failed;
  if (!fs::exists(folder, failed)) return;
  if (!fs::is_directory(folder, failed)) {
    throw Error(Exit::refused, fmt::format("{} is there and is no folder", escape(folder.string())),
                "name another folder");
  }
  if (fs::is_empty(folder, failed)) return;
  const bool own = fs::exists(folder / own_file, failed);
  if (own && replace) return;
  throw Error(Exit::refused, fmt::format("{} is not empty", escape(folder.string())),
              own ? "to write the report anew over the one there: --replace" : "name a new folder");
}

void write_machine(Site& site, const std::string& prefix, const Shown& shown) {
  const std::vector<std::string> paths = shown.pages->paths();
  for (std::size_t i = 0; i < paths.size(); ++i) {
    Progress::step("files", i, paths.size(), shown.machine.facts().name);
    if (const auto bytes = shown.pages->file(paths[i])) site.write(prefix + paths[i], *bytes);
  }
}

}  // namespace

void add_report(CLI::App& app, Globals& globals) {
  struct Options {
    std::string machine;
    std::string to;
    bool all = false;
    bool replace = false;
  };
  auto options = std::make_shared<Options>();
  CLI::App* made = command(
      app, "report", "Write a machine's whole history as pages that open in any browser, from any disk",
      "keepway report mill-1 --to /media/stick/mill-1\n  keepway report --all --to ~/shop-pages --replace");
  CLI::Option* machine = made->add_option("MACHINE", options->machine, "The machine");
  made->add_flag("--all", options->all, "All machines of the shop, with a list of them")->excludes(machine);
  made->add_option("--to", options->to, "Folder to write, empty or not there yet; open its index.html")
      ->required()
      ->check(filled())
      ->type_name("DIR");
  made->add_flag("--replace", options->replace, "The folder may hold an older report, which is written over");
  made->callback([&globals, options] {
    if (options->machine.empty() && !options->all) {
      throw Error(Exit::usage, "say of which machine", "name one, or ask for all with --all");
    }
    const Shop shop = open_shop(globals);
    std::vector<std::string> names = options->all ? shop.machines() : std::vector{options->machine};
    if (!options->all) (void)shop.machine(options->machine);  // an unknown name, before anything is written
    check_target(options->to, options->replace);
    Site site(options->to);
    std::vector<show::ShopMachine> list;
    for (const std::string& name : names) {
      const std::string prefix = options->all ? fmt::format("machines/{}/", name) : "";
      show::PageOptions pages;
      pages.assets = options->all ? "../../assets" : "assets";
      if (options->all) pages.shop = shop_title(shop);
      const auto shown = gather(shop, name, pages);
      write_machine(site, prefix, *shown);
      list.push_back(summary(shown->report));
    }
    if (options->all) {
      for (const auto& file : show::shop_pages(shop_title(shop), list, now()))
        site.write(file.path, file.bytes);
    }
    for (const auto& file : show::page_assets()) site.write(file.path, file.bytes);
    print(globals, show::done(fmt::format("Wrote {} files to {}. Open {} in a browser.\n", site.files,
                                          escape(options->to),
                                          escape((fs::path(options->to) / "index.html").string())),
                              {{"command", "report"},
                               {"to", escape(options->to)},
                               {"machines", fmt::format("{}", fmt::join(names, " "))},
                               {"files", std::to_string(site.files)},
                               {"bytes", std::to_string(site.bytes_written)}}));
  });
}

}  // namespace keepway::cli
