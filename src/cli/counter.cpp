// The pages with acts: what view shows, and the work of the commands done from a browser on this computer.
#include <fmt/format.h>

#include <memory>

#include "cli/browser.hpp"
#include "cli/counter_acts.hpp"
#include "cli/http.hpp"
#include "cli/live.hpp"
#include "cli/session.hpp"

namespace keepway::cli {
namespace {

constexpr const char* json_type = "application/json; charset=utf-8";

class Counter {
 public:
  Counter(Live live, std::vector<std::string> sticks)
      : live_(std::move(live)), acts_(live_, std::move(sticks)) {
    for (auto& file : show::counter_assets()) assets_.emplace(std::move(file.path), std::move(file.bytes));
  }
  void at(int port) { port_ = port; }
  [[nodiscard]] const std::string& key() const { return session_.key(); }
  [[nodiscard]] const std::filesystem::path& folder() const { return acts_.folder(); }

  Response answer(const Request& request) {
    if (!is_from_here(request, port_)) return {403, "Refused: this counter is for this computer alone.\n"};
    switch (request.method) {
      case Request::Method::get:
      case Request::Method::head:
        return page(request);
      case Request::Method::post:
        return act(request);
      case Request::Method::other:
        break;
    }
    return {405,
            "Refused: pages are read, and acts are posted.\n",
            "text/plain; charset=utf-8",
            {{"Allow", "GET, HEAD, POST"}}};
  }

 private:
  // Nothing is done by reading.
  Response page(const Request& request) {
    const std::string path = request.path.value_or("");
    if (const auto asset = assets_.find(path); asset != assets_.end())
      return {200, asset->second, std::string(show::media_type(path))};
    if (path == "assets/keepway.css" || session_.may_read(request, port_)) return live_.answer(request);
    if (path.ends_with(".html")) return {200, show::counter_door(), "text/html; charset=utf-8"};
    return {403, "Refused: this browser has not entered. Open the address that keepway counter printed.\n"};
  }

  Response act(const Request& request) {
    const std::string path = request.path.value_or("");
    if (path == "enter") return enter(request);
    if (!session_.may_act(request, port_)) {
      return {403,
              "Refused: this page has not entered, or is of a counter that has ended. Open the address that "
              "keepway counter printed.\n"};
    }
    if (path == "put") return {200, acts_.put(request), json_type};
    if (path == "made") return {200, acts_.made(), "application/octet-stream"};
    constexpr std::string_view folder = "act/";
    if (path.starts_with(folder)) {
      if (auto json = acts_.act(std::string_view(path).substr(folder.size()), request.body))
        return {200, std::move(*json), json_type};
    }
    return {404, "There is no such act.\n"};
  }

  Response enter(const Request& request) {
    const auto cookie = session_.enter(request, port_);
    if (!cookie) {
      return {
          403,
          "Refused: this address was opened before, or is of a counter that has ended. Use the window that "
          "it was opened in, or stop keepway counter and start it again.\n"};
    }
    const std::string facts =
        nlohmann::ordered_json{{"token", session_.token()}, {"who", escape(who())}}.dump();
    return {200, facts, json_type, {{"Set-Cookie", *cookie}}};
  }

  Live live_;
  CounterActs acts_;
  Session session_;
  std::map<std::string, std::string> assets_;
  int port_ = 0;
};

}  // namespace

void add_counter(Command app, Globals& globals) {
  struct Options {
    std::vector<std::string> machines;
    std::vector<std::string> sticks;
    int port = 0;
    bool no_open = false;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "counter",
                         "Do the daily work in a browser on this computer: the pages of 'view', with acts",
                         "keepway counter mill-1\n  keepway counter --port 8090");
  made->add_option("MACHINE", options->machines, "The machines; by default all of the shop");
  made->add_option("--stick", options->sticks,
                   "List this device or image among the sticks that are plugged in: for one that the system "
                   "takes for a fixed disk")
      ->filled()
      ->type_name("PATH");
  made->add_option("--port", options->port, "Port on 127.0.0.1; by default any that is free")
      ->between(0, 65535)
      ->type_name("N");
  made->add_flag(
      "--no-open", options->no_open,
      "Print the address alone; else, and without --json, the user's browser is opened where there is "
      "a desktop");
  made->callback([&globals, options] {
    Counter counter(Live(open_shop(globals), options->machines, true), options->sticks);
    constexpr std::int64_t most_body_bytes = 300'000;  // a piece of a file, see web/counter
    Server server(options->port, most_body_bytes,
                  [&](const Request& request) { return counter.answer(request); });
    counter.at(server.port());
    server.end_on_signals();
    const std::string url = fmt::format("{}#key={}", server.url(), counter.key());
    print(globals,
          show::done(fmt::format("{}\n  (on this computer only, and for the one browser that opens it "
                                 "first; stop it with Ctrl-C)\n",
                                 url),
                     {{"command", "counter"}, {"url", url}}));
    if (!options->no_open && !globals.json) open_browser(url, counter.folder());
    server.run();
  });
}

}  // namespace keepway::cli
