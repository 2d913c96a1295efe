// The report's pages, live, for this computer alone: nothing is written.
#include <fmt/format.h>

#include <memory>

#include "cli/http.hpp"
#include "cli/live.hpp"

namespace keepway::cli {

void add_view(Command app, Globals& globals) {
  struct Options {
    std::string machine;
    int port = 0;
  };
  auto options = std::make_shared<Options>();
  Command made =
      command(app, "view", "Show the pages of a machine, or of the shop, in a browser on this computer",
              "keepway view mill-1\n  keepway view --port 8090");
  made->add_option("MACHINE", options->machine, "The machine; by default all of the shop");
  made->add_option("--port", options->port, "Port on 127.0.0.1; by default any that is free")
      ->between(0, 65535)
      ->type_name("N");
  made->callback([&globals, options] {
    std::vector<std::string> only;
    if (!options->machine.empty()) only.push_back(options->machine);
    Live live(open_shop(globals), std::move(only), false);
    int port = 0;
    constexpr std::int64_t most_body_bytes = 4'096;
    Server server(options->port, most_body_bytes, [&](const Request& request) -> Response {
      const bool reads = request.method == Request::Method::get || request.method == Request::Method::head;
      const std::string refused = "Refused: these pages are read-only, and for this computer alone.\n";
      if (!reads) return {405, refused, "text/plain; charset=utf-8", {{"Allow", "GET, HEAD"}}};
      if (!is_from_here(request, port)) return {403, refused};
      return live.answer(request);
    });
    port = server.port();
    print(globals, show::done(fmt::format("{}  (on this computer only; stop it with Ctrl-C)\n", server.url()),
                              {{"command", "view"}, {"url", server.url()}}));
    server.run();
    throw Error(ErrorKind::store, "the pages can no longer be served", "start keepway view again");
  });
}

}  // namespace keepway::cli
