// Running the real program, and Git beside it, in a folder of a test's own: no shell, no configuration of
// whoever runs the test.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <random>
#include <string>
#include <string_view>
#include <vector>

namespace scenario {

namespace fs = std::filesystem;
using Args = std::vector<std::string>;
using Env = std::map<std::string, std::string>;  // added to the isolated environment

struct Ran {
  int exit = -1;  // 128 + signal when one ended it
  std::string out;
  std::string err;
};

// Standard output and error go to files, so that no amount of them can block the child.
Ran run(const std::string& program, const Args& args, const fs::path& cwd, const Env& env = {});
// The same with all three streams on a terminal, at which `typed` is typed; output and errors come back in
// `out`.
Ran run_on_terminal(const std::string& program, const Args& args, const fs::path& cwd, const Env& env = {},
                    const std::string& typed = "");
// Starts without waiting; wait_for() ends it.
struct Started {
  int pid = -1;
  fs::path out;
  fs::path err;
};
struct Limits {
  std::uint64_t file_bytes = 0;  // no file may grow over this, as on a full disk; 0: no limit
  std::vector<int> closed;       // streams that the program finds closed
  bool traced = false;           // it waits for this test to trace it (ptrace), see killed.hpp
};
Started start(const std::string& program, const Args& args, const fs::path& cwd, const Env& env = {},
              const Limits& limits = {});
Ran wait_for(const Started& started);

Ran keepway(const Args& args, const fs::path& cwd, const Env& env = {});
Ran git(const fs::path& repository, const Args& args);

// A folder's files by name (bytes) with their content; an empty folder stands as "name/" with nothing.
using Tree = std::map<std::string, std::string>;
void write_tree(const fs::path& folder, const Tree& tree);
Tree read_tree(const fs::path& folder);
std::string read_file(const fs::path& file);
void write_file(const fs::path& file, std::string_view bytes);

// A folder below the system's temporary one, gone with the object.
class Scratch {
 public:
  Scratch();
  ~Scratch();
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  [[nodiscard]] const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

// The same numbers for the same seed, on any system.
class Random {
 public:
  explicit Random(std::uint64_t seed) : engine_(seed) {}
  std::size_t below(std::size_t bound) { return static_cast<std::size_t>(engine_() % bound); }
  bool once_in(std::size_t times) { return below(times) == 0; }
  std::string bytes(std::size_t count);
  template <class T>
  void shuffle(std::vector<T>& items) {
    for (std::size_t i = items.size(); i > 1; --i) std::swap(items[i - 1], items[below(i)]);
  }
  template <class T>
  const T& of(const std::vector<T>& items) {
    return items[below(items.size())];
  }

 private:
  std::mt19937_64 engine_;
};

// Lines without their ends.
std::vector<std::string> lines_of(std::string_view text);

}  // namespace scenario
