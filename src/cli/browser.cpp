#include "cli/browser.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <vector>

#include "keepway/small_file.hpp"

namespace keepway::cli {
namespace {

bool is_set(const char* name) {
  const char* value = std::getenv(name);
  return value != nullptr && *value != '\0';
}

// The programs to try, in order. $BROWSER: a list of them, separated by colons (common practice, no source).
std::vector<std::string> browsers() {
  std::vector<std::string> programs;
  std::string rest = is_set("BROWSER") ? std::getenv("BROWSER") : "";
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find(':'), rest.size());
    if (end > 0) programs.push_back(rest.substr(0, end));
    rest.erase(0, end + 1);
  }
  if (is_set("DISPLAY") || is_set("WAYLAND_DISPLAY")) programs.emplace_back("xdg-open");
  return programs;
}

// In a process of its own session, of which this program knows nothing any more: it outlives the server, and
// what it prints is nobody's.
[[noreturn]] void try_each(const std::vector<std::string>& programs, const std::string& page) {
  if (::fork() != 0) ::_exit(0);
  (void)::setsid();
  (void)std::signal(SIGPIPE, SIG_DFL);
  const int nowhere = ::open("/dev/null", O_RDWR | O_CLOEXEC);
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) (void)::dup2(nowhere, stream);
  (void)::close_range(STDERR_FILENO + 1, ~0U, 0);
  for (const std::string& program : programs) {
    std::array<char*, 3> words = {const_cast<char*>(program.c_str()), const_cast<char*>(page.c_str()),
                                  nullptr};
    (void)::execvp(words[0], words.data());  // comes back where there is no such program
  }
  ::_exit(127);
}

}  // namespace

void open_browser(const std::string& url, const std::filesystem::path& folder) {
  const auto programs = browsers();
  if (programs.empty()) return;
  const std::filesystem::path page = folder / "open.html";
  if (!write_small_file(page,
                        fmt::format("<!doctype html>\n<meta charset=\"utf-8\">\n<title>keepway</title>\n"
                                    "<meta name=\"referrer\" content=\"no-referrer\">\n"
                                    "<meta http-equiv=\"refresh\" content=\"0; url={}\">\n",
                                    url)))
    return;
  const pid_t child = ::fork();
  if (child == 0) try_each(programs, page.string());
  while (child > 0 && ::waitpid(child, nullptr, 0) < 0 && errno == EINTR) {
  }
}

}  // namespace keepway::cli
