// A server for this computer alone, on one thread: what view and the counter share. http.cpp alone meets
// libevent.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace keepway::cli {

struct Request {
  enum class Method { get, head, post, other };
  Method method = Method::other;
  // Decoded, below the site's folder, "index.html" where a folder is asked for; any bytes. None: the request
  // names a host in its first line, as one to a proxy.
  std::optional<std::string> path;
  std::string query;  // as sent
  std::vector<std::pair<std::string, std::string>> headers;
  std::string body;

  // All that came by that name, whatever the case of its letters.
  [[nodiscard]] std::vector<std::string> header(std::string_view name) const;
  // The decoded value of `name` in the query; empty when there is none.
  [[nodiscard]] std::string asked(std::string_view name) const;
};

struct Response {
  int status = 200;
  std::string bytes;
  std::string type = "text/plain; charset=utf-8";
  std::vector<std::pair<std::string, std::string>> headers = {};  // in place of the server's of that name
};

using Respond = std::function<Response(const Request&)>;

// Whether a request speaks to this server by its own name: Host is checked against names that point here from
// elsewhere (DNS rebinding), Origin against pages of other sites. A post has to name its origin.
bool is_from_here(const Request& request, int port);

// Bounded whoever connects: a request is at most 16 KiB of head and `most_body_bytes`, has half a minute to
// come in, five seconds without a byte, and where more than two hundred are open the oldest is closed.
class Server {
 public:
  // Port 0: any that is free. Error{usage} when it is taken.
  Server(int port, std::int64_t most_body_bytes, Respond respond);
  ~Server();
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;
  Server(Server&&) = delete;
  Server& operator=(Server&&) = delete;

  [[nodiscard]] int port() const;
  [[nodiscard]] std::string url() const;  // "http://127.0.0.1:PORT/"
  // Ends run() when a person stops the program, after the request that is being answered; else the program
  // ends at once.
  void end_on_signals();
  void run();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace keepway::cli
