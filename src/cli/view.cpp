// The report's pages, live, for this computer alone: nothing is written, and every path is looked up in a
// list, so that no path can reach a file.
#include <fmt/format.h>
#include <httplib.h>

#include <algorithm>
#include <map>
#include <memory>
#include <mutex>

#include "cli/site.hpp"

namespace keepway::cli {
namespace {

constexpr const char* loopback = "127.0.0.1";

class View {
 public:
  View(Shop shop, std::string only) : shop_(std::move(shop)), only_(std::move(only)) {
    for (auto& file : show::page_assets()) assets_.emplace(std::move(file.path), std::move(file.bytes));
  }

  // Bytes of a path; nullopt when there is none.
  std::optional<std::string> get(const std::string& path, const std::string& of) {
    const std::lock_guard guard(one_at_a_time_);
    if (const auto asset = assets_.find(path); asset != assets_.end()) return asset->second;
    if (!only_.empty()) return machine_file(only_, path, of);
    constexpr std::string_view machines = "machines/";
    if (path.starts_with(machines)) {
      const std::size_t slash = path.find('/', machines.size());
      if (slash == std::string::npos) return std::nullopt;
      return machine_file(path.substr(machines.size(), slash - machines.size()), path.substr(slash + 1), of);
    }
    if (path != "index.html" && path != "data/shop.js") return std::nullopt;
    std::vector<show::ShopMachine> list;
    for (const std::string& name : shop_.machines()) list.push_back(summary(shown(name).report));
    for (auto& file : show::shop_pages(shop_title(shop_), list, now())) {
      if (file.path == path) return std::move(file.bytes);
    }
    return std::nullopt;
  }

 private:
  struct Known {
    std::string fingerprint;
    std::unique_ptr<Shown> shown;
  };

  // All that the pages depend on, without reading the history.
  std::string fingerprint(const std::string& name) {
    const Machine machine = shop_.machine(name);
    const auto newest = machine.latest();
    std::string text = machine.repository().line() + (newest ? newest->commit : "");
    for (const auto& mark : machine.repository().marks()) text += mark.name + "\n" + mark.commit;
    for (const auto& line : machine.repository().lines()) text += line.name + "\n" + line.tip;
    for (const char* file : {"machine.toml", "layout.toml", "namebook.tsv"})
      text += machine.repository().working_file(file).value_or("");
    return text;
  }

  Shown& shown(const std::string& name) {
    Known& known = known_[name];
    std::string now_is = fingerprint(name);
    if (!known.shown || known.fingerprint != now_is) {
      show::PageOptions options;
      options.assets = only_.empty() ? "../../assets" : "assets";
      if (only_.empty()) options.shop = shop_title(shop_);
      options.live = true;
      known.shown = gather(shop_, name, options);
      known.fingerprint = std::move(now_is);
    }
    return *known.shown;
  }

  std::optional<std::string> machine_file(const std::string& name, const std::string& path,
                                          const std::string& of) {
    const auto names = shop_.machines();
    if (std::find(names.begin(), names.end(), name) == names.end()) return std::nullopt;
    if (path == "data/now.json") {
      const auto newest = shop_.machine(name).latest();
      return fmt::format("{{\"tip\":\"{}\"}}\n", newest ? newest->commit : "");
    }
    // A page goes on with the history that it began with, or begins anew.
    const bool first = path == "index.html" || path == "data/machine.js" || !known_.contains(name);
    const Shown& machine = first ? shown(name) : *known_[name].shown;
    if (path.starts_with("data/") && path != "data/machine.js" && !of.empty() && of != machine.report.tip)
      return "keepway.stale();\n";
    return machine.pages->file(path);
  }

  Shop shop_;
  std::string only_;
  std::map<std::string, std::string> assets_;
  std::map<std::string, Known> known_;
  std::mutex one_at_a_time_;
};

// Why a request is not answered; 0 when it is. Host is checked against names that point here from elsewhere,
// Origin against pages of other sites.
int refusal(const httplib::Request& request, int port) {
  if (request.method != "GET" && request.method != "HEAD") return 405;
  const std::string numbered = fmt::format("{}:{}", loopback, port);
  const std::string named = fmt::format("localhost:{}", port);
  const auto host = request.get_header_value("Host");
  if (request.get_header_value_count("Host") != 1 || (host != numbered && host != named)) return 403;
  if (request.has_header("Origin")) {
    const auto origin = request.get_header_value("Origin");
    if (origin != "http://" + numbered && origin != "http://" + named) return 403;
  }
  return 0;
}

void answer(View& view, const httplib::Request& request, httplib::Response& response) {
  std::string path = request.path.empty() ? "" : request.path.substr(1);
  if (path.empty() || path.ends_with('/')) path += "index.html";
  try {
    if (auto bytes = view.get(path, request.get_param_value("of"))) {
      response.set_content(*bytes, std::string(show::media_type(path)));
      return;
    }
    response.status = 404;
    response.set_content("There is no such page.\n", "text/plain; charset=utf-8");
  } catch (const std::exception& error) {
    response.status = 500;
    response.set_content(escape(error.what()) + "\n", "text/plain; charset=utf-8");
  }
}

}  // namespace

void add_view(CLI::App& app, Globals& globals) {
  struct Options {
    std::string machine;
    int port = 0;
  };
  auto options = std::make_shared<Options>();
  CLI::App* made =
      command(app, "view", "Show the pages of a machine, or of the shop, in a browser on this computer",
              "keepway view mill-1\n  keepway view --port 8090");
  made->add_option("MACHINE", options->machine, "The machine; by default all of the shop");
  made->add_option("--port", options->port, "Port on 127.0.0.1; by default any that is free")
      ->check(CLI::Range(0, 65535))
      ->type_name("N");
  made->callback([&globals, options] {
    Shop shop = open_shop(globals);
    if (!options->machine.empty()) (void)shop.machine(options->machine);
    View view(std::move(shop), options->machine);
    httplib::Server server;
    const int port = options->port == 0                             ? server.bind_to_any_port(loopback)
                     : server.bind_to_port(loopback, options->port) ? options->port
                                                                    : -1;
    if (port < 0) {
      throw Error(Exit::usage, fmt::format("port {} is taken", options->port),
                  "name another with --port N, or leave it out");
    }
    constexpr std::size_t most_request_bytes = 4096;
    server.set_payload_max_length(most_request_bytes);
    server.set_read_timeout(5, 0);
    server.set_default_headers({{"X-Content-Type-Options", "nosniff"},
                                {"X-Frame-Options", "DENY"},
                                {"Referrer-Policy", "no-referrer"},
                                {"Cross-Origin-Resource-Policy", "same-origin"},
                                {"Cache-Control", "no-store"}});
    server.set_pre_routing_handler([&](const httplib::Request& request, httplib::Response& response) {
      const int refused = refusal(request, port);
      if (refused == 0) return httplib::Server::HandlerResponse::Unhandled;
      response.status = refused;
      if (refused == 405) response.set_header("Allow", "GET, HEAD");
      response.set_content("Refused: these pages are read, and from this computer alone.\n",
                           "text/plain; charset=utf-8");
      return httplib::Server::HandlerResponse::Handled;
    });
    server.Get(".*", [&](const httplib::Request& request, httplib::Response& response) {
      answer(view, request, response);
    });
    const std::string url = fmt::format("http://{}:{}/", loopback, port);
    print(globals, show::done(fmt::format("{}  (this computer alone; ends with Ctrl-C)\n", url),
                              {{"command", "view"}, {"url", url}}));
    std::fflush(stdout);
    if (!server.listen_after_bind())
      throw Error(Exit::store, "the pages can no longer be served", "start keepway view again");
  });
}

}  // namespace keepway::cli
