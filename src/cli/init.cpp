#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"

namespace keepway::cli {

void add_init(Command app, Globals& globals) {
  struct Options {
    std::string folder;
    std::string title;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "init", "Make a shop: a folder that holds one repository for each machine",
                         "keepway init ~/shop --title \"Two mills and a lathe\"");
  made->add_option("DIR", options->folder, "Folder to make the shop in")->required()->filled();
  made->add_option("--title", options->title, "What to call it");
  made->callback([&globals, options] {
    const Shop shop = Shop::init(options->folder, options->title);
    print(
        globals,
        show::done(
            fmt::format(
                "Made a shop in {}.\nNext, in that folder: keepway enroll MACHINE --layout NAME|FILE.toml\n",
                options->folder),
            {{"command", "init"}, {"shop", shop.folder().string()}}));
  });
}

}  // namespace keepway::cli
