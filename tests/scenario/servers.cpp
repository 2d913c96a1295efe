#include "servers.hpp"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <sstream>
#include <stdexcept>

namespace scenario {
namespace {

class Socket {
 public:
  Socket() : fd_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    if (fd_ < 0) throw std::runtime_error("no socket");
  }
  Socket(const Socket&) = delete;
  Socket& operator=(const Socket&) = delete;
  Socket(Socket&&) = delete;
  Socket& operator=(Socket&&) = delete;
  ~Socket() { ::close(fd_); }
  [[nodiscard]] int fd() const { return fd_; }

 private:
  int fd_;
};

sockaddr_in loopback(int port) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  return address;
}

bool answers(int port) {
  const Socket socket;
  const sockaddr_in address = loopback(port);
  return ::connect(socket.fd(), reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0;
}

fs::path web_config(const fs::path& folder, const fs::path& repositories, const std::string& host, int port,
                    const std::string& password) {
  fs::create_directories(folder / "www");
  write_file(folder / "users", "ana:" + password + "\n");
  make_certificate(folder, host);
  write_file(
      folder / "lighttpd.conf",
      fmt::format(
          R"(server.modules = ("mod_openssl", "mod_accesslog", "mod_auth", "mod_authn_file", "mod_setenv",
                  "mod_alias", "mod_cgi")
server.document-root = "{0}/www"
server.upload-dirs = ("{0}")
server.bind = "127.0.0.1"
server.port = {1}
accesslog.filename = "{0}/access.log"
ssl.engine = "enable"
ssl.pemfile = "{0}/{2}.pem"
auth.backend = "plain"
auth.backend.plain.userfile = "{0}/users"
auth.require = ("/git/" => ("method" => "basic", "realm" => "git", "require" => "valid-user"))
alias.url = ("/git" => "{3}")
$HTTP["url"] =~ "^/git/" {{
  cgi.assign = ("" => "")
  setenv.add-environment = ("GIT_PROJECT_ROOT" => "{4}", "GIT_HTTP_EXPORT_ALL" => "")
}}
)",
          folder.string(), port, host, find_program("git-http-backend"), repositories.string()));
  return folder / "lighttpd.conf";
}

}  // namespace

std::string find_program(const std::string& name) {
  const char* path = std::getenv("PATH");
  std::string folders = path == nullptr ? "/usr/bin:/bin" : path;
  std::string git_folder = run("git", {"--exec-path"}, "/").out;
  while (git_folder.ends_with('\n')) git_folder.pop_back();
  folders.append(":/usr/sbin:").append(git_folder);
  std::istringstream in(folders);
  for (std::string folder; std::getline(in, folder, ':');) {
    const fs::path file = fs::path(folder) / name;
    if (::access(file.c_str(), X_OK) == 0) return file.string();
  }
  return {};
}

Server::Server(const std::string& program, const Args& args, const fs::path& cwd, int port)
    : started_(start(program, args, cwd)) {
  for (int tries = 0; tries < 200; ++tries) {
    if (answers(port)) return;
    int status = 0;
    if (::waitpid(started_.pid, &status, WNOHANG) == started_.pid) {
      const std::string said = read_file(started_.out) + read_file(started_.err);
      throw std::runtime_error(fmt::format("{} ended at once: {}", program, said));
    }
    ::usleep(50'000);
  }
  throw std::runtime_error(program + " does not answer");
}

Server::~Server() {
  ::kill(started_.pid, SIGTERM);
  (void)wait_for(started_);
}

int free_port() {
  const Socket socket;
  sockaddr_in address = loopback(0);
  socklen_t size = sizeof address;
  if (::bind(socket.fd(), reinterpret_cast<const sockaddr*>(&address), size) != 0 ||
      ::getsockname(socket.fd(), reinterpret_cast<sockaddr*>(&address), &size) != 0) {
    throw std::runtime_error("no free port");
  }
  return ntohs(address.sin_port);
}

void make_certificate(const fs::path& folder, const std::string& host) {
  const fs::path key = folder / (host + ".pem");
  const fs::path certificate = folder / (host + ".crt");
  const Ran ran = run("openssl",
                      {"req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes",
                       "-days", "2", "-subj", "/CN=" + host, "-addext", "subjectAltName=DNS:" + host,
                       "-keyout", key.string(), "-out", certificate.string()},
                      folder);
  if (ran.exit != 0) throw std::runtime_error("openssl: " + ran.err);
  write_file(key, read_file(key) + read_file(certificate));
}

WebServer::WebServer(const fs::path& folder, const fs::path& repositories, const std::string& host,
                     const std::string& password)
    : log(folder / "access.log"),
      port(free_port()),
      server(find_program("lighttpd"),
             {"-D", "-f", web_config(folder, repositories, host, port, password).string()}, "/", port) {}

std::string WebServer::url(const std::string& path, const std::string& host) const {
  return fmt::format("https://{}:{}/git/{}", host, port, path);
}

}  // namespace scenario
