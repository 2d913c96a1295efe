// Real servers on loopback, on ports of their own, ended with the object.
#pragma once

#include <optional>
#include <string>

#include "run.hpp"

namespace scenario {

// Where a program is, on the PATH, in /usr/sbin, or among Git's own; empty when it is not installed.
std::string find_program(const std::string& name);

class Server {
 public:
  // Starts and waits until the port answers. Throws std::runtime_error, with what it said, when it does not.
  Server(const std::string& program, const Args& args, const fs::path& cwd, int port);
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;
  Server(Server&&) = delete;
  Server& operator=(Server&&) = delete;
  ~Server();

 private:
  Started started_;
};

int free_port();

// A certificate and its key in `folder`/NAME.pem and NAME.crt, for the host of that name.
void make_certificate(const fs::path& folder, const std::string& host);

// git-http-backend behind lighttpd, with TLS and one user: ana, with the password given.
struct WebServer {
  WebServer(const fs::path& folder, const fs::path& repositories, const std::string& host,
            const std::string& password);
  [[nodiscard]] std::string url(const std::string& path, const std::string& host = "localhost") const;
  fs::path log;  // one line a request
  int port;
  Server server;
};

}  // namespace scenario
