#include "cli/http.hpp"

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

#include "cli/connections.hpp"
#include "keepway/error.hpp"
#include "keepway/text.hpp"

namespace keepway::cli {

// What libevent made and is to be given back by a function of its own.
template <auto Free>
struct Freed {
  template <typename T>
  void operator()(T* held) const {
    Free(held);
  }
};
template <typename T, auto Free>
using Held = std::unique_ptr<T, Freed<Free>>;

namespace {

constexpr const char* loopback = "127.0.0.1";

// "%41" as A; a plus stays one.
std::optional<std::string> decoded(const std::string& text) {
  std::size_t size = 0;
  const Held<char, std::free> out(evhttp_uridecode(text.c_str(), 0, &size));
  return out ? std::optional(std::string(out.get(), size)) : std::nullopt;
}

std::optional<std::string> path_of(const evhttp_uri* uri) {
  if (uri == nullptr || evhttp_uri_get_host(uri) != nullptr || evhttp_uri_get_path(uri) == nullptr)
    return std::nullopt;
  auto path = decoded(evhttp_uri_get_path(uri));
  if (!path) return std::nullopt;
  path->erase(0, path->starts_with('/') ? 1 : 0);
  if (path->empty() || path->ends_with('/')) *path += "index.html";
  return path;
}

Request::Method method_of(evhttp_request* request) {
  switch (evhttp_request_get_command(request)) {
    case EVHTTP_REQ_GET:
      return Request::Method::get;
    case EVHTTP_REQ_HEAD:
      return Request::Method::head;
    case EVHTTP_REQ_POST:
      return Request::Method::post;
    default:
      return Request::Method::other;
  }
}

Request received(evhttp_request* from) {
  Request request;
  request.method = method_of(from);
  const evhttp_uri* uri = evhttp_request_get_evhttp_uri(from);
  request.path = path_of(uri);
  const char* query = uri == nullptr ? nullptr : evhttp_uri_get_query(uri);
  if (query != nullptr) request.query = query;
  const evkeyvalq* headers = evhttp_request_get_input_headers(from);
  for (const evkeyval* each = headers->tqh_first; each != nullptr; each = each->next.tqe_next)
    request.headers.emplace_back(each->key, each->value);
  evbuffer* body = evhttp_request_get_input_buffer(from);
  request.body.resize(evbuffer_get_length(body));
  evbuffer_remove(body, request.body.data(), request.body.size());
  return request;
}

bool has(const Response& response, std::string_view header) {
  return std::any_of(response.headers.begin(), response.headers.end(),
                     [header](const auto& each) { return each.first == header; });
}

void send(evhttp_request* request, const Response& response) {
  evkeyvalq* headers = evhttp_request_get_output_headers(request);
  const std::string size = std::to_string(response.bytes.size());
  // A connection is for one request, so that its age tells how long that takes.
  for (const auto& [name, value] : std::initializer_list<std::pair<const char*, const char*>>{
           {"Content-Type", response.type.c_str()},
           {"Content-Length", size.c_str()},
           {"Connection", "close"},
           {"X-Content-Type-Options", "nosniff"},
           {"X-Frame-Options", "DENY"},
           {"Content-Security-Policy",
            "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; base-uri 'none'; "
            "form-action 'none'; frame-ancestors 'none'"},
           {"Referrer-Policy", "no-referrer"},
           {"Cross-Origin-Opener-Policy", "same-origin"},
           {"Cross-Origin-Resource-Policy", "same-origin"},
           {"Cache-Control", "no-store"}}) {
    if (!has(response, name)) evhttp_add_header(headers, name, value);
  }
  for (const auto& [name, value] : response.headers) evhttp_add_header(headers, name.c_str(), value.c_str());
  if (evhttp_request_get_command(request) != EVHTTP_REQ_HEAD)
    evbuffer_add(evhttp_request_get_output_buffer(request), response.bytes.data(), response.bytes.size());
  evhttp_send_reply(request, response.status, nullptr, nullptr);
}

}  // namespace

std::vector<std::string> Request::header(std::string_view name) const {
  std::vector<std::string> values;
  for (const auto& [key, value] : headers) {
    if (key.size() == name.size() && ::strncasecmp(key.data(), name.data(), name.size()) == 0)
      values.push_back(value);
  }
  return values;
}

std::string Request::asked(std::string_view name) const {
  for (std::size_t at = 0; at < query.size();) {
    const std::size_t end = std::min(query.find('&', at), query.size());
    const std::string_view part = std::string_view(query).substr(at, end - at);
    if (part.size() > name.size() && part.starts_with(name) && part[name.size()] == '=')
      return decoded(std::string(part.substr(name.size() + 1))).value_or("");
    at = end + 1;
  }
  return "";
}

bool is_from_here(const Request& request, int port) {
  const std::string numbered = fmt::format("{}:{}", loopback, port);
  const std::string named = fmt::format("localhost:{}", port);
  const auto hosts = request.header("Host");
  if (hosts.size() != 1 || (hosts[0] != numbered && hosts[0] != named)) return false;
  const auto origins = request.header("Origin");
  if (request.method == Request::Method::post && origins.size() != 1) return false;
  return std::all_of(origins.begin(), origins.end(), [&](const std::string& origin) {
    return origin == "http://" + numbered || origin == "http://" + named;
  });
}

struct Server::Impl {
  explicit Impl(Respond with) : respond(std::move(with)), base(event_base_new()), connections(base.get()) {
    if (base) http.reset(evhttp_new(base.get()));
    if (!http) throw std::bad_alloc();
  }

  void bind(int to) {
    evhttp_bound_socket* bound =
        evhttp_bind_socket_with_handle(http.get(), loopback, static_cast<ev_uint16_t>(to));
    sockaddr_in at{};
    socklen_t size = sizeof at;
    if (bound == nullptr ||
        ::getsockname(evhttp_bound_socket_get_fd(bound), reinterpret_cast<sockaddr*>(&at), &size) != 0) {
      throw Error(ErrorKind::usage, to == 0 ? "no port is free" : fmt::format("port {} is taken", to),
                  "name another with --port N, or leave it out");
    }
    port = ntohs(at.sin_port);
  }

  void answer(evhttp_request* request) const {
    Response response;
    try {
      response = respond(received(request));
    } catch (const std::exception& error) {
      response = {500, escape(error.what()) + "\n"};
    }
    send(request, response);
  }

  Respond respond;
  int port = 0;
  Held<event_base, event_base_free> base;
  Connections connections;
  Held<evhttp, evhttp_free> http;
  std::vector<Held<event, event_free>> events;
};

Server::Server(int port, std::int64_t most_body_bytes, Respond respond)
    : impl_(std::make_unique<Impl>(std::move(respond))) {
  constexpr ev_ssize_t most_head_bytes = 16'384;
  constexpr int most_seconds = 5;  // without a byte
  evhttp* http = impl_->http.get();
  evhttp_set_max_headers_size(http, most_head_bytes);
  evhttp_set_max_body_size(http, most_body_bytes);
  evhttp_set_timeout(http, most_seconds);
  // All that it knows: the answer refuses them in our words.
  evhttp_set_allowed_methods(http, EVHTTP_REQ_GET | EVHTTP_REQ_HEAD | EVHTTP_REQ_POST | EVHTTP_REQ_PUT |
                                       EVHTTP_REQ_DELETE | EVHTTP_REQ_OPTIONS | EVHTTP_REQ_TRACE |
                                       EVHTTP_REQ_CONNECT | EVHTTP_REQ_PATCH);
  evhttp_set_gencb(
      http, [](evhttp_request* request, void* self) { static_cast<Impl*>(self)->answer(request); },
      impl_.get());
  // Called for each that connects; without an answer the server goes on as it would.
  evhttp_set_bevcb(
      http,
      [](event_base*, void* self) -> bufferevent* {
        static_cast<Impl*>(self)->connections.came();
        return nullptr;
      },
      impl_.get());
  impl_->bind(port);
  const timeval second{1, 0};
  impl_->events.emplace_back(event_new(
      impl_->base.get(), -1, EV_PERSIST,
      [](evutil_socket_t, short, void* self) { static_cast<Impl*>(self)->connections.second_passed(); },
      impl_.get()));
  if (!impl_->events.back() || event_add(impl_->events.back().get(), &second) != 0) throw std::bad_alloc();
  std::signal(SIGPIPE, SIG_IGN);  // a browser that goes away ends no server
}

Server::~Server() = default;

int Server::port() const {
  return impl_->port;
}

std::string Server::url() const {
  return fmt::format("http://{}:{}/", loopback, impl_->port);
}

void Server::end_on_signals() {
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
    impl_->events.emplace_back(evsignal_new(
        impl_->base.get(), signal,
        [](evutil_socket_t, short, void* base) { event_base_loopbreak(static_cast<event_base*>(base)); },
        impl_->base.get()));
    if (!impl_->events.back() || event_add(impl_->events.back().get(), nullptr) != 0) throw std::bad_alloc();
  }
}

void Server::run() {
  event_base_dispatch(impl_->base.get());
}

}  // namespace keepway::cli
