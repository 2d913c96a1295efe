// The report's pages, live, for this computer alone: nothing is written, and every path is looked up in a
// list, so that no path can reach a file.
#include <arpa/inet.h>
#include <event2/buffer.h>
#include <event2/event.h>
#include <event2/http.h>
#include <event2/keyvalq_struct.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <strings.h>
#include <sys/socket.h>

#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <map>
#include <memory>

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
    for (const std::string& name : shop_.machines()) list.push_back(listed(name));
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
    std::string text = machine.repository().line() + machine.repository().tip().value_or("");
    for (const auto& mark : machine.repository().marks()) text += mark.name + "\n" + mark.commit;
    for (const auto& line : machine.repository().lines()) text += line.name + "\n" + line.tip;
    for (const char* file : {"machine.toml", "layout.toml", "namebook.tsv"})
      text += machine.repository().working_file(file).value_or("");
    return text;
  }

  Shown& shown(const std::string& name) {
    std::string now_is = fingerprint(name);
    const auto known = known_.find(name);
    if (known != known_.end() && known->second.fingerprint == now_is) return *known->second.shown;
    show::PageOptions options;
    options.assets = only_.empty() ? "../../assets" : "assets";
    if (only_.empty()) options.shop = shop_title(shop_);
    options.live = true;
    // Known once it is gathered, not before: where that fails the next request finds no empty entry.
    auto fresh = gather(shop_, name, options);
    return *known_.insert_or_assign(name, Known{std::move(now_is), std::move(fresh)}).first->second.shown;
  }

  // A machine's row in the shop's list.
  show::ShopMachine listed(const std::string& name) {
    try {
      return summary(shown(name).report);
    } catch (const Error& error) {
      return unreadable(name, error);
    } catch (const std::bad_alloc&) {
      throw;
    } catch (const std::exception& error) {
      return unreadable(name, Error(ErrorKind::store, error.what(), "look into the machine's folder"));
    }
  }

  std::optional<std::string> machine_file(const std::string& name, const std::string& path,
                                          const std::string& of) {
    const auto names = shop_.machines();
    if (std::find(names.begin(), names.end(), name) == names.end()) return std::nullopt;
    if (path == "data/now.json") {
      return fmt::format("{{\"tip\":\"{}\"}}\n", seen_tip(shop_.machine(name)));
    }
    // A page goes on with the history that it began with, or starts again.
    const bool first = path == "index.html" || path == "data/machine.js" || !known_.contains(name);
    const Shown& machine = first ? shown(name) : *known_.at(name).shown;
    if (path.starts_with("data/") && path != "data/machine.js" && !of.empty() && of != machine.report.tip)
      return "keepway.stale();\n";
    return machine.pages->file(path);
  }

  Shop shop_;
  std::string only_;
  std::map<std::string, std::string> assets_;
  std::map<std::string, Known> known_;
};

template <auto Free>
struct Freed {
  template <typename T>
  void operator()(T* held) const {
    Free(held);
  }
};
template <typename T, auto Free>
using Held = std::unique_ptr<T, Freed<Free>>;

std::vector<std::string> header_values(evhttp_request* request, const char* name) {
  std::vector<std::string> values;
  const evkeyvalq* headers = evhttp_request_get_input_headers(request);
  for (const evkeyval* each = headers->tqh_first; each != nullptr; each = each->next.tqe_next) {
    if (::strcasecmp(each->key, name) == 0) values.emplace_back(each->value);
  }
  return values;
}

// Why a request is not answered; 0 when it is. Host is checked against names that point here from elsewhere,
// Origin against pages of other sites.
int refusal(evhttp_request* request, int port) {
  const auto method = evhttp_request_get_command(request);
  if (method != EVHTTP_REQ_GET && method != EVHTTP_REQ_HEAD) return 405;
  const std::string numbered = fmt::format("{}:{}", loopback, port);
  const std::string named = fmt::format("localhost:{}", port);
  const auto hosts = header_values(request, "Host");
  if (hosts.size() != 1 || (hosts[0] != numbered && hosts[0] != named)) return 403;
  for (const std::string& origin : header_values(request, "Origin")) {
    if (origin != "http://" + numbered && origin != "http://" + named) return 403;
  }
  return 0;
}

// The path that is asked for, from the site's folder; nullopt for an address with a host in it.
std::optional<std::string> path_of(const evhttp_uri* uri) {
  if (uri == nullptr || evhttp_uri_get_host(uri) != nullptr || evhttp_uri_get_path(uri) == nullptr)
    return std::nullopt;
  std::size_t size = 0;
  const Held<char, std::free> decoded(evhttp_uridecode(evhttp_uri_get_path(uri), 0, &size));
  if (!decoded) return std::nullopt;
  std::string path(decoded.get(), size);
  path.erase(0, path.starts_with('/') ? 1 : 0);
  if (path.empty() || path.ends_with('/')) path += "index.html";
  return path;
}

// The state of the history that a page goes on with: ?of=COMMIT.
std::string state_of(const evhttp_uri* uri) {
  const char* query = evhttp_uri_get_query(uri);
  evkeyvalq values{};
  if (query == nullptr || evhttp_parse_query_str(query, &values) != 0) return "";
  const char* found = evhttp_find_header(&values, "of");
  std::string of = found == nullptr ? "" : found;
  evhttp_clear_headers(&values);
  return of;
}

struct Response {
  int status = 200;
  std::string bytes;
  std::string type = "text/plain; charset=utf-8";
};

Response answer(View& view, evhttp_request* request, int port) {
  if (const int refused = refusal(request, port); refused != 0)
    return {refused, "Refused: these pages are read-only, and for this computer alone.\n"};
  try {
    const evhttp_uri* uri = evhttp_request_get_evhttp_uri(request);
    if (const auto path = path_of(uri)) {
      if (auto bytes = view.get(*path, state_of(uri)))
        return {200, std::move(*bytes), std::string(show::media_type(*path))};
    }
    return {404, "There is no such page.\n"};
  } catch (const std::exception& error) {
    return {500, escape(error.what()) + "\n"};
  }
}

void send(evhttp_request* request, const Response& response) {
  evkeyvalq* headers = evhttp_request_get_output_headers(request);
  const std::string size = std::to_string(response.bytes.size());
  for (const auto& [name, value] : std::initializer_list<std::pair<const char*, const char*>>{
           {"Content-Type", response.type.c_str()},
           {"Content-Length", size.c_str()},
           {"X-Content-Type-Options", "nosniff"},
           {"X-Frame-Options", "DENY"},
           {"Referrer-Policy", "no-referrer"},
           {"Cross-Origin-Resource-Policy", "same-origin"},
           {"Cache-Control", "no-store"}}) {
    evhttp_add_header(headers, name, value);
  }
  if (response.status == 405) evhttp_add_header(headers, "Allow", "GET, HEAD");
  if (evhttp_request_get_command(request) != EVHTTP_REQ_HEAD)
    evbuffer_add(evhttp_request_get_output_buffer(request), response.bytes.data(), response.bytes.size());
  evhttp_send_reply(request, response.status, nullptr, nullptr);
}

// One thread, one request at a time; what connects and says nothing holds up nobody.
class Server {
 public:
  // Error{usage} when the port is taken; 0: any that is free.
  Server(View& view, int port) : view_(view), base_(event_base_new()) {
    if (base_) http_.reset(evhttp_new(base_.get()));
    if (!http_) throw std::bad_alloc();
    constexpr ev_ssize_t most_head_bytes = 16'384;
    constexpr ev_ssize_t most_body_bytes = 4'096;
    constexpr int most_seconds = 5;  // without a byte
    evhttp_set_max_headers_size(http_.get(), most_head_bytes);
    evhttp_set_max_body_size(http_.get(), most_body_bytes);
    evhttp_set_timeout(http_.get(), most_seconds);
    // All that it knows: answer() refuses them in our words.
    evhttp_set_allowed_methods(http_.get(), EVHTTP_REQ_GET | EVHTTP_REQ_HEAD | EVHTTP_REQ_POST |
                                                EVHTTP_REQ_PUT | EVHTTP_REQ_DELETE | EVHTTP_REQ_OPTIONS |
                                                EVHTTP_REQ_TRACE | EVHTTP_REQ_CONNECT | EVHTTP_REQ_PATCH);
    evhttp_set_gencb(
        http_.get(),
        [](evhttp_request* request, void* self) {
          auto* server = static_cast<Server*>(self);
          send(request, answer(server->view_, request, server->port_));
        },
        this);
    evhttp_bound_socket* bound =
        evhttp_bind_socket_with_handle(http_.get(), loopback, static_cast<ev_uint16_t>(port));
    sockaddr_in at{};
    socklen_t size = sizeof at;
    if (bound == nullptr ||
        ::getsockname(evhttp_bound_socket_get_fd(bound), reinterpret_cast<sockaddr*>(&at), &size) != 0) {
      throw Error(ErrorKind::usage, port == 0 ? "no port is free" : fmt::format("port {} is taken", port),
                  "name another with --port N, or leave it out");
    }
    port_ = ntohs(at.sin_port);
  }

  [[nodiscard]] int port() const { return port_; }
  void run() { event_base_dispatch(base_.get()); }

 private:
  View& view_;
  int port_ = 0;
  Held<event_base, event_base_free> base_;
  Held<evhttp, evhttp_free> http_;
};

}  // namespace

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
    Shop shop = open_shop(globals);
    if (!options->machine.empty()) (void)shop.machine(options->machine);
    View view(std::move(shop), options->machine);
    Server server(view, options->port);
    std::signal(SIGPIPE, SIG_IGN);  // a browser that goes away ends no view
    const std::string url = fmt::format("http://{}:{}/", loopback, server.port());
    print(globals, show::done(fmt::format("{}  (on this computer only; stop it with Ctrl-C)\n", url),
                              {{"command", "view"}, {"url", url}}));
    std::fflush(stdout);
    server.run();
    throw Error(ErrorKind::store, "the pages can no longer be served", "start keepway view again");
  });
}

}  // namespace keepway::cli
