// The same life kept by hand with git: a folder under git, over which each backup is copied, `git add -A`,
// `git commit`. Its past comes from the same days by `git fast-import`, which leaves deltas as `git gc` does.
#pragma once

#include <array>
#include <cstdio>
#include <cstdlib>
#include <thread>

#include "figures.hpp"
#include "shapes.hpp"

namespace bench {

class ByHand {
 public:
  explicit ByHand(std::filesystem::path folder) : folder_(std::move(folder)) {
    std::filesystem::create_directories(folder_);
    (void)run({"git", "init", "-q", "-b", "main"}, folder_);
    import_ = ::popen(fmt::format("git -C '{}' fast-import --quiet", folder_.string()).c_str(), "w");
    if (import_ == nullptr) throw std::runtime_error("git fast-import cannot be run");
  }
  ByHand(const ByHand&) = delete;
  ByHand& operator=(const ByHand&) = delete;
  ByHand(ByHand&&) = delete;
  ByHand& operator=(ByHand&&) = delete;
  ~ByHand() {
    if (import_ != nullptr) ::pclose(import_);
  }

  void past(const keepway::media::Set& before, const keepway::media::Set& now, std::int64_t at) {
    std::string out =
        fmt::format("commit refs/heads/main\ncommitter bench <b@localhost> {} +0000\ndata 6\nBackup\n", at);
    for (std::size_t i = 0; i < now.files.size(); ++i) {
      const auto& file = now.files[i];
      if (i < before.files.size() && before.files[i].bytes == file.bytes) continue;
      out += fmt::format("M 100644 inline {}\ndata {}\n", file.name, file.bytes.size());
      out += file.bytes;
      out += '\n';
    }
    if (std::fwrite(out.data(), 1, out.size(), import_) != out.size())
      throw std::runtime_error("git fast-import does not take the days");
  }
  // The past is whole: its newest day is brought into the folder, and grows older than git's index, which
  // looks at the contents of files as young as itself.
  void check_out() {
    if (::pclose(std::exchange(import_, nullptr)) != 0) throw std::runtime_error("git fast-import failed");
    (void)run({"git", "gc", "-q"}, folder_);
    (void)run({"git", "checkout", "-q", "-f", "main"}, folder_);
    std::this_thread::sleep_for(std::chrono::milliseconds(1100));
    (void)run({"git", "update-index", "-q", "--refresh"}, folder_);
    std::this_thread::sleep_for(std::chrono::milliseconds(1100));
  }
  [[nodiscard]] Run take_in(const std::filesystem::path& backup) const {
    Run whole = run({"cp", "-r", backup.string() + "/.", "."}, folder_);
    whole += run({"git", "add", "-A"}, folder_);
    whole += run({"git", "commit", "-q", "-m", "Backup"}, folder_);
    return whole;
  }
  [[nodiscard]] std::string tree() const { return run({"git", "rev-parse", "HEAD^{tree}"}, folder_).out; }

 private:
  std::filesystem::path folder_;
  std::FILE* import_ = nullptr;
};

// Git by itself: not by way of what anybody has set up.
inline void settle_git() {
  for (const char* variable : {"GIT_AUTHOR_NAME", "GIT_COMMITTER_NAME"}) setenv(variable, "bench", 1);
  for (const char* variable : {"GIT_AUTHOR_EMAIL", "GIT_COMMITTER_EMAIL"}) setenv(variable, "b@localhost", 1);
  setenv("GIT_CONFIG_GLOBAL", "/dev/null", 1);
  setenv("GIT_CONFIG_NOSYSTEM", "1", 1);
  setenv("GIT_CONFIG_COUNT", "1", 1);
  setenv("GIT_CONFIG_KEY_0", "core.hooksPath", 1);
  setenv("GIT_CONFIG_VALUE_0", "/dev/null", 1);
}

}  // namespace bench
